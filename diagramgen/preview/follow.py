"""Follows a build file: waits for a save, draws, shows; nothing that stands in a file ends it."""

from __future__ import annotations

import gc
import threading
from collections.abc import Callable
from pathlib import Path

from diagramgen.preview.redraw import Redraw, Shown
from diagramgen.preview.watch import Watch

LOOK = 0.06
"""Seconds between two looks at the files."""


class Follower(threading.Thread):
    """Draws in a thread of its own, so that the page is answered meanwhile."""

    def __init__(self, path: Path, show: Callable[[Shown], None], symbols: Path | None = None, look: float = LOOK):
        super().__init__(name="preview", daemon=True)
        self._redraw = Redraw(path, symbols)
        self._watch = Watch((path,), symbols)
        self._show, self._look = show, look
        self._ended = threading.Event()

    def end(self) -> None:
        """Draw nothing any more."""
        self._ended.set()

    def run(self) -> None:
        """Draw once, then after every save."""
        self.draw()
        # What the first drawing has loaded stays: it need not be looked through again for what can be thrown away.
        gc.freeze()
        while not self._ended.wait(self._look):
            if self._watch.due():
                self.draw()

    def draw(self) -> None:
        """One drawing; given up where the files change again before it is done."""
        # Looking for what can be thrown away took a third of a drawing's time: it is done after it.
        gc.disable()
        try:
            for shown in self._redraw.steps():
                if self._ended.is_set():
                    return
                self._watch.follow(self._redraw.files)
                self._show(shown)
                if self._watch.stale():
                    return
        except Exception as fault:  # a fault of the program must not end what shows its user the file
            self._show(self._redraw.stumbled(fault))
        finally:
            gc.enable()
            gc.collect()
