"""The command line: the only place that prints or exits. Commands are imported when they are called."""

from __future__ import annotations

import importlib
import io
import os
import signal
import sys
from types import FrameType
from typing import Any

import click

from diagramgen import __version__

COMMANDS = {
    "print": ("app.print_cli:print_", "Print a build's diagram and lead list into a folder."),
    "meaning": ("features.meaning.cli:meaning", "Say what a problem code means and how to mend it."),
    "check": ("app.check_cli:check", "Check a build and list its problems."),
    "compare": ("features.changes.cli:compare", "Say what is done between a build as found and as left."),
    "sounds": ("features.sounds.cli:sounds", "Say what a build sounds like in every state, and what a meter reads."),
    "readings": ("features.readings.cli:readings", "Write a file to enter readings in; hold readings against it."),
    "page": ("features.playerpage.cli:page", "Write the player's page: pick positions, see the live path."),
    "preview": ("features.preview.cli:preview", "Draw a build anew whenever it is saved, in a page on this machine."),
    "netlist": ("features.netlist.cli:netlist", "Write one state of a build for ngspice."),
    "fault": ("features.faults.cli:fault", "Find a fault from what was metered and heard; say what to measure next."),
    "identify": ("features.identify.cli:identify", "Name the conductors of a pickup from readings between them."),
    "guess": ("features.guess.cli:guess", "Guess the wiring found, from readings at the plug."),
    "labels": ("features.labels.cli:labels", "Print labels for leads, cables, parts and bags of old parts."),
    "price": ("features.price.cli:price", "Write a build's buying list, estimate and account."),
    "shop": ("features.shop.cli:shop", "Make the sheets of a folder of jobs, only what changed, and its index."),
    "start": ("features.interview.cli:start", "Write a commented build to begin from."),
    "add": ("features.interview.add_cli:add", "Put a part or lead into a build; comments and layout stay."),
    "trace": ("features.trace.cli:trace", "Take a cavity's outline from a photograph or scan; print its card."),
    "symbols": ("features.symbolcard.cli:symbols", "List the symbols; print a symbol's full-size card."),
    "schema": ("app.schema_cli:schema", "Write the JSON Schema of the build file."),
}

STOPPED = 130
"""Status after Ctrl-C: 128 and the signal's number, as shells say it."""

EPILOG = """\b
Begin:
  diagramgen start --list              what there is to begin from
  diagramgen start one-volume > my.yaml
  diagramgen print my.yaml --out sheets

\b
Exit status: 0 fine, 1 the build has errors, 2 wrong usage, 3 could not write, 130 stopped with Ctrl-C.
Hot iron, fume, lead and mains: the sheets print the usual cautions; local codes come first."""


class LazyGroup(click.Group):
    """Knows every command's name and one line of help; imports a command only when it is used."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in the order a job takes them."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return a command."""
        if cmd_name not in COMMANDS:
            return None
        module, _, name = COMMANDS[cmd_name][0].partition(":")
        command: click.Command = getattr(importlib.import_module(f"diagramgen.{module}"), name)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does, with the nearest command where the name is unknown."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            from diagramgen.kernel.diagnostics import nearest

            raise click.UsageError(f"there is no command '{args[0]}'. {nearest(args[0], COMMANDS)}", ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands, without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in COMMANDS.items()])

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[Any]:
        """Names only, so that the tab key stays quick."""
        from click.shell_completion import CompletionItem

        return [CompletionItem(n, help=line) for n, (_, line) in COMMANDS.items() if n.startswith(incomplete)]


@click.group(cls=LazyGroup, epilog=EPILOG, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="diagramgen")
def group() -> None:
    """Full-size wiring diagrams and lead lists for rewiring an electric guitar, from one build file."""


def main() -> None:
    """Run the command line; never ends in a traceback for what a user can cause."""
    _speak_utf8()
    _watch_ctrl_c()
    try:
        status = group.main(prog_name="diagramgen", color=False if os.environ.get("NO_COLOR") else None,
                            standalone_mode=False)
        sys.stdout.flush()
        sys.exit(status if isinstance(status, int) else 0)
    except (click.Abort, KeyboardInterrupt):
        click.echo("stopped", err=True)
        sys.exit(STOPPED)
    except click.ClickException as fault:
        fault.show()
        sys.exit(fault.exit_code)
    except BrokenPipeError:
        # The reader of our output went away; say nothing and let the shell see it.
        _drop_output()
        sys.exit(0)
    except OSError as fault:
        # Files are guarded where they are read and written: what is left is an output that takes no more.
        _drop_output()
        click.echo(f"error: cannot write the output: {(fault.strerror or str(fault)).lower()}", err=True)
        sys.exit(3)


def _watch_ctrl_c() -> None:
    """Ctrl-C raises KeyboardInterrupt as ever; while a library is being imported it ends at once.

    Compiled libraries print a traceback of their own where their import is broken off.
    """
    def stop(_: int, frame: FrameType | None) -> None:
        while frame is not None:
            if frame.f_code.co_filename.startswith("<frozen importlib"):
                os.write(2, b"stopped\n")
                os._exit(STOPPED)
            frame = frame.f_back
        raise KeyboardInterrupt

    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, stop)


def _speak_utf8() -> None:
    """Build files, JSON and names are UTF-8, also where a pipe or an old console would have another encoding.

    The name of a file may hold bytes that are no UTF-8: they come out escaped.
    """
    if isinstance(sys.stdout, io.TextIOWrapper):
        if sys.stdout.isatty():
            sys.stdout.reconfigure(errors="replace")
        else:
            sys.stdout.reconfigure(encoding="utf-8", newline="\n", errors="backslashreplace")


def _drop_output() -> None:
    """Let what is still buffered go nowhere, so that the end of the program does not stumble over it again."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
