"""A library that the project does not declare."""

import numpy

ONES = numpy.ones(3)
