"""The one way to the terminal for text of any kind, so that nothing from outside can steer it. `tell.py` lays out, and ends here, too."""

from __future__ import annotations

import contextlib
import io
import os
import sys
from typing import TextIO

import click

from wheelside.harmless import harmless


def echo(text: str, *, nl: bool = True, err: bool = False, anew: bool = False) -> None:
    """Writes text to standard output or standard error, harmless. `anew`: over what the line has now."""
    try:
        click.echo(("\r" if anew else "") + harmless(text), nl=nl, err=err)
    except OSError:
        if not err:
            raise
        nowhere(sys.stderr)  # nobody reads what is said there: that changes nothing of what was done


def nowhere(stream: TextIO) -> None:
    """Has all that is still written to a stream go nowhere, so that closing it says nothing more."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def show(error: click.ClickException) -> None:
    """Writes what the command line's library says of a wrong command to standard error."""
    said = io.StringIO()
    error.show(said)
    echo(said.getvalue(), nl=False, err=True)
