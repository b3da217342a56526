"""Reads the book from a page."""

from wheelside.book.jobs import jobs_of

READ = jobs_of
