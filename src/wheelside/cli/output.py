"""The one way to the terminal for text of any kind, so that nothing from outside can steer it. `tell.py` lays out, and ends here, too."""

from __future__ import annotations

import io

import click

from wheelside.harmless import harmless


def echo(text: str, *, nl: bool = True, err: bool = False, anew: bool = False) -> None:
    """Writes text to standard output or standard error, harmless. `anew`: over what the line has now."""
    if anew:
        click.echo("\r", nl=False, err=err)
    click.echo(harmless(text), nl=nl, err=err)


def show(error: click.ClickException) -> None:
    """Writes what the command line's library says of a wrong command to standard error."""
    said = io.StringIO()
    error.show(said)
    echo(said.getvalue(), nl=False, err=True)
