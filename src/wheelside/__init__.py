"""Wheelside keeps tyre-pressure monitoring working for people who run more than one set of wheels."""

__version__ = "0.1.0"
