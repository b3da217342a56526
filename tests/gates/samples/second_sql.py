"""Speaks SQL outside the book."""

from sqlalchemy import text

QUERY = text("select 1")
