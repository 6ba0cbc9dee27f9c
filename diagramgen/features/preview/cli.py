"""``preview``: a build file drawn anew whenever it is saved, in a page on this machine."""

from __future__ import annotations

import errno
import os
import signal
import sys
import threading
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from diagramgen.console.report import HAS_ERRORS, fail, report_problems

if TYPE_CHECKING:
    from diagramgen.features.preview.redraw import Shown
    from diagramgen.features.preview.server import Board, Server

PARTING = 0.3
"""Seconds after Ctrl-C in which pages still get an answer; a second Ctrl-C cuts them short."""


@click.command()
@click.argument("build", type=click.Path(path_type=Path))
@click.option("--port", type=click.IntRange(1, 65535), default=None,
              help="Port on this machine. Default: any free one.")
@click.option("--symbols", "own", type=click.Path(path_type=Path, exists=True, file_okay=False), default=None,
              help="Folder with symbols of your own.")
@click.option("--quiet", "-q", is_flag=True, help="Say the address only.")
def preview(build: Path, port: int | None, own: Path | None, quiet: bool) -> None:
    """Draw BUILD anew whenever it is saved, in a page on this machine: diagram, problems and sounds.

    Open the address it says. Files that BUILD names are watched too. Only this machine can open the page. Ctrl-C ends
    it.

    \b
    Examples:
      diagramgen preview baritone.yaml
      diagramgen preview baritone.yaml --port 8080
    """
    done = threading.Event()
    for one in (signal.SIGINT, signal.SIGTERM):
        signal.signal(one, lambda *_: done.set())
    from diagramgen.features.preview.follow import Follower
    from diagramgen.features.preview.redraw import Shown
    from diagramgen.features.preview.server import Board

    _must_be_there(build)
    board = Board(Shown(str(build)))
    server = _server(board, port)

    def show(shown: Shown) -> None:
        board.hang(shown)
        if not quiet and not shown.solving:
            _say(shown)

    click.echo(f"{server.url}\nOpen this address. Ctrl-C ends the preview.")
    follower = Follower(build, show, own)
    serving = threading.Thread(target=server.serve_forever, args=(0.1,), name="server", daemon=True)
    serving.start()
    follower.start()
    # In short turns: one long wait would not hear Ctrl-C everywhere.
    while not done.wait(0.2):
        pass
    follower.end()
    board.end()
    # A page between two questions asks once more: it is told the end too, instead of finding nobody.
    done.clear()
    done.wait(PARTING)
    server.shutdown()
    board.all_told()
    server.server_close()
    serving.join(2.0)
    if not quiet:
        click.echo("preview ended")
    if follower.is_alive():
        _leave()


def _leave() -> NoReturn:
    """End the process at once: it crashes where it is taken down around a thread that is drawing.

    Nothing is lost: a preview writes no file, and nobody waits for the drawing.
    """
    for said in (sys.stdout, sys.stderr):
        with suppress(OSError):
            said.flush()
    os._exit(0)


def _must_be_there(build: Path) -> None:
    """A file that is not there at the start is a slip of the pen; later it may come and go."""
    from diagramgen.kernel.diagnostics import Diagnostics
    from diagramgen.kernel.provenance import read_bytes

    say = Diagnostics()
    if read_bytes(build, say) is None:
        report_problems(say.sorted())
        raise SystemExit(HAS_ERRORS)


def _server(board: Board, port: int | None) -> Server:
    """The server, or the end with status 3 and the reason."""
    from diagramgen.features.preview.server import Server

    try:
        return Server(board, port or 0)
    except OSError as fault:
        if port is not None and fault.errno == errno.EADDRINUSE:
            fail(f"error: port {port} is taken by another program",
                 remedy="Choose another with --port, or leave it out: then a free one is found.")
        reason = (fault.strerror or "unknown reason").lower()
        fail(f"error: cannot open port {port or ''}: {reason}", remedy="Choose another with --port, 1024 or higher.")


def _say(shown: Shown) -> None:
    from diagramgen.features.preview.page import status_of
    from diagramgen.writers.canvas import clean

    click.echo(clean(status_of(shown)))
