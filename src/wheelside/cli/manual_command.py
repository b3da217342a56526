"""wheelside manual: the manual page in roff, and completion for a shell, both made from the commands themselves."""

from __future__ import annotations

from collections.abc import Iterator

import click
from click.shell_completion import get_completion_class

from wheelside import __version__
from wheelside.cli.output import echo
from wheelside.errors import BadRequest

SHELLS = ("bash", "zsh", "fish")


@click.command("manual")
@click.option("--completion", type=click.Choice(SHELLS), help="Print completion for this shell instead.")
@click.pass_context
def command(ctx: click.Context, completion: str | None) -> int:
    """Prints the manual page, or completion for a shell.

    Read it with: wheelside manual | man -l -     Completion in bash: eval "$(wheelside manual --completion bash)"
    """
    root = ctx.find_root().command
    if completion is None:
        echo("\n".join(_page(root)))
        return 0
    made = get_completion_class(completion)
    if made is None:
        raise BadRequest(f"there is no completion for {completion}", found=completion, expected=", ".join(SHELLS))
    echo(made(root, {}, "wheelside", "_WHEELSIDE_COMPLETE").source())
    return 0


def _page(root: click.Command) -> Iterator[str]:
    """The manual page, line by line."""
    yield f'.TH WHEELSIDE 1 "" "wheelside {__version__}" "User Commands"'
    yield ".SH NAME"
    yield f"wheelside \\- {_plain((root.help or '').splitlines()[0]).rstrip('.').lower()}"
    yield ".SH SYNOPSIS"
    yield ".B wheelside\n.I COMMAND\n[\n.I OPTIONS\n] [\n.I ARGUMENTS\n]"
    yield ".SH COMMANDS"
    yield from _commands(root, click.Context(root, info_name="wheelside"))
    yield ".SH EXIT STATUS"
    for code, what in _STATUS:
        yield f".TP\n.B {code}\n{what}"


_STATUS = (
    (0, "done"),
    (1, "done, and something must not be done as asked, or no single answer can be given"),
    (2, "the input is wrong; the message says where and what to do"),
    (3, "the world misbehaved: a disk, a folder"),
    (4, "a bug: one line, and where the report is"),
)


def _commands(group: click.Command, ctx: click.Context) -> Iterator[str]:
    """Each command below a group, with what it takes and its options."""
    if not isinstance(group, click.Group):
        return
    for name in group.list_commands(ctx):
        one = group.get_command(ctx, name)
        if one is None or one.hidden:
            continue
        own = click.Context(one, info_name=name, parent=ctx)
        usage = " ".join(one.collect_usage_pieces(own))
        yield f".SS {_plain(own.command_path)} {_plain(usage)}"
        yield from (_plain(line) if line.strip() else ".PP" for line in (one.help or "").replace("\b", "").splitlines())
        for parameter in one.params:
            found = parameter.get_help_record(own)
            if found is not None:
                yield f".TP\n.B {_plain(found[0])}\n{_plain(found[1])}"
        yield from _commands(one, own)


def _plain(text: str) -> str:
    """Text as roff has it: hyphens that can be copied, and no line that begins as a request."""
    said = " ".join(text.split()).replace("\\", "\\e").replace("-", "\\-")
    return f"\\&{said}" if said.startswith((".", "'")) else said
