"""Checksums of what a number's own bits are: its digits took longer to write out than all else of a reading."""

from __future__ import annotations

from alembic import op

from wheelside.book.checksum import summing
from wheelside.book.resum import SUMMED, sum_again, summing_11

revision = "0012"
down_revision = "0011"


def upgrade() -> None:
    """Sums again what is sound; a damaged row stays damaged."""
    for name in SUMMED:
        sum_again(op.get_bind(), name, summing(name), summing_11(name))
