"""A test that is skipped."""

import pytest


@pytest.mark.skip(reason="no time")
def test_something() -> None:
    raise AssertionError
