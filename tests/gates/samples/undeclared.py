"""A library that the project does not declare."""

import hypothesis

SEED = hypothesis.seed(1)
