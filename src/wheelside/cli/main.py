"""The entry point: finds the command, and turns every error into its exit status.

0 done; 1 done, and something must not be done as asked; 2 the input is wrong; 3 the world
misbehaved; 4 a bug. A command's module is imported only when it is run.
"""

from __future__ import annotations

import contextlib
import difflib
import importlib
import io
import json
import logging
import os
import sys
import warnings
from dataclasses import asdict

import click

from wheelside import __version__
from wheelside.cli.output import echo, nowhere, show
from wheelside.cli.waiting import word_while_working
from wheelside.errors import BadFile, Mendable, Outside
from wheelside.harmless import escaped

COMMANDS = {
    "start": "Begin here: one question at a time, on the phone or in this terminal.",
    "demo": "Run the main job on an invented household.",
    "plan": "Which sensor ID each wheel is to carry, and why.",
    "earshot": "Who hears whom, and how far away is far enough.",
    "gate": "Compare a set's sensors, as they answer, with what is written down.",
    "hand-over": "One page about a wheel set for its buyer, and what is kept of the sale.",
    "fit": "Should this wheel set go on this car, before the money changes hands.",
    "air": "The pressures to set now, and from when the lamp must be lit.",
    "gauge": "Four pressures in a minute: is a tyre losing air, or is it cold?",
    "why": "The tyre lamp is on: what is most likely, and what to do first.",
    "shopping": "What to buy, to try and to book before sets go on, and by when.",
    "sheet": "The ordered steps of the next change of wheels.",
    "car": "Ask a car through its diagnostic port: read, save, clear, teach.",
    "port": "Check a port card, with a recording or a car.",
    "book": "Keep cars, sets, readings and jobs in a book.",
    "serve": "Serve a book's pages to this machine, or to the phones of the house.",
    "proof": "Check a job's proof, or write it out of a book.",
    "id": "Read a sensor ID from print, or draw fresh ones.",
    "check": "Look a garage file over and name every problem.",
    "schema": "Print the JSON Schema of garage files.",
    "manual": "Print the manual page, or completion for your shell.",
}


class Commands(click.Group):
    """The commands by name; help lists them without importing any."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            near = difflib.get_close_matches(cmd_name, COMMANDS, n=1)
            if near:
                raise click.UsageError(f"There is no command '{cmd_name}'. Did you mean '{near[0]}'?", ctx)
            return None
        module = importlib.import_module(f"wheelside.cli.{cmd_name.replace('-', '_')}_command")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


WORKING = ("demo", "plan", "earshot", "gate", "hand-over", "air", "shopping", "sheet", "check")
"""Commands that only work something out and never wait for a person, as fit may: of these a word is said when they take long."""


@click.group(cls=Commands, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="wheelside")
@click.pass_context
def main(ctx: click.Context) -> None:
    """Keeps tyre-pressure monitoring working for people with more than one wheel set.

    Answer what is asked, or write down what you know in a garage file; Wheelside says which ID each sensor is to carry, which
    pressures to set now, and in which order to do the work. Begin with 'wheelside start'.
    """
    if ctx.invoked_subcommand is None:
        echo(ALONE)


ALONE = """\
Wheelside says which sensor needs which ID, what pressures to set today, and
how to do the work, for people whose cars have more than one set of wheels.

Begin in one of three ways:
  wheelside start           answer one question at a time, here or on a phone
  wheelside demo            look round an invented household
  wheelside demo --write .  the same as a file, to make it yours

All commands                wheelside --help"""
"""What the program says where no command is given."""


def run(args: list[str] | None = None) -> None:
    """Runs one command line and leaves with its exit status."""
    _ready_output()
    code = status(args)
    try:
        sys.stdout.flush()
    except OSError as error:
        code = _output_failed(error) or code
    sys.exit(code)


def status(args: list[str] | None = None) -> int:
    """The exit status of one command line, its output and messages printed."""
    output = sys.stdout
    as_json = "--json" in (sys.argv[1:] if args is None else args)
    try:
        given = sys.argv[1:] if args is None else args
        with word_while_working() if given[:1] and given[0] in WORKING else contextlib.nullcontext():
            result = main.main(args, prog_name="wheelside", standalone_mode=False)
        return result if isinstance(result, int) else 0
    except click.exceptions.Exit as leaving:
        return leaving.exit_code
    except click.Abort:
        return 3
    except SystemExit as leaving:  # by which click answers a reader that has left
        return _output_failed(BrokenPipeError()) if sys.stdout is not output else int(leaving.code or 0)
    except (click.ClickException, Mendable, Outside) as error:
        return _refused(error, as_json=as_json)
    except OSError as error:
        return _output_failed(error)
    except MemoryError:
        echo("wheelside: there is not enough memory for this; look at the size of the file", err=True)
        return 3
    except Exception as error:  # noqa: BLE001  the outermost handler: whatever else arrives here is a bug
        from wheelside.jobs.report import write_report

        echo(f"wheelside: a bug: {type(error).__name__}: {_first_line(error)}; {write_report()}", err=True)
        return 4


def _refused(error: click.ClickException | Mendable | Outside, *, as_json: bool) -> int:
    """Says why something is not done, as JSON on standard output where a program reads it; the exit status."""
    code = 3 if isinstance(error, Outside) else 2
    if not as_json and isinstance(error, click.ClickException):
        show(error)
    elif not as_json:
        echo(f"wheelside: {error.message if isinstance(error, Mendable) else error}", err=True)
    else:
        echo(escaped(json.dumps(_told(code, error), ensure_ascii=False, indent=2)))
    return code


def _told(code: int, error: click.ClickException | Mendable | Outside) -> dict[str, object]:
    problems = [asdict(one) for one in error.problems] if isinstance(error, BadFile) else []
    message = error.format_message() if isinstance(error, click.ClickException) else str(error)
    found, expected = (error.found, error.expected) if isinstance(error, Mendable) else ("", "")
    message = message.partition("\n")[0] if problems else message
    return {
        "wheelside": "error", "version": 1, "status": code, "message": message, "found": found, "expected": expected, "problems": problems,
    }  # fmt: skip


def _output_failed(error: OSError) -> int:
    """The exit status when the output can't be written: 0 where its reader has left, else 3, and why.

    What is left of the output goes nowhere, so that closing it says nothing more.
    """
    gone = isinstance(error, BrokenPipeError)
    if not gone:
        echo(f"wheelside: writing the output: {error.strerror or error}; check where it goes", err=True)
    nowhere(sys.stdout)
    return 0 if gone else 3


def _ready_output() -> None:
    """Makes standard output one that can be written to: nowhere where it is closed, as the other two, and never failing at a sign.

    What libraries say of a file by themselves goes nowhere: it has the file's text in it.
    """
    logging.lastResort = logging.NullHandler()
    if not sys.warnoptions:
        warnings.simplefilter("ignore")
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115, PTH123  lasts as long as the program
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")


def _first_line(error: Exception) -> str:
    return (str(error).splitlines() or ["no message"])[0][:200]
