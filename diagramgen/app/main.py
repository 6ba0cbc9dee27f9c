"""The command line: the only place that prints or exits. Commands are imported when they are called."""

from __future__ import annotations

import io
import os
import signal
import sys
from types import FrameType
from typing import Any

import click

from diagramgen.console.command import commands
from diagramgen.kernel.version import __version__

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
        return list(commands())

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return a command."""
        command = commands().get(cmd_name)
        return command.load() if command is not None else None

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does, with the nearest command where the name is unknown."""
        if args and args[0] not in commands() and not args[0].startswith("-"):
            from diagramgen.kernel.diagnostics import nearest

            raise click.UsageError(f"there is no command '{args[0]}'. {nearest(args[0], commands())}", ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands, without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl([(one.name, one.about) for one in commands().values()])

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[Any]:
        """Names only, so that the tab key stays quick."""
        from click.shell_completion import CompletionItem

        return [CompletionItem(one.name, help=one.about) for one in commands().values()
                if one.name.startswith(incomplete)]


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
