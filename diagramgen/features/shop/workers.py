"""Work on many things in processes of their own, several at a time. One that takes too long, or whose process is ended
from outside, loses only itself: the rest goes on."""

from __future__ import annotations

import contextlib
import multiprocessing
import signal
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess
from typing import Generic, TypeVar

Thing = TypeVar("Thing")
Made = TypeVar("Made")


@dataclass(frozen=True)
class Lost:
    """Work that did not come to its end."""

    late: bool
    """Whether it took longer than it may; else its process was ended."""


@dataclass(frozen=True)
class _Worker(Generic[Thing]):
    process: SpawnProcess
    pipe: Connection
    thing: Thing
    until: float
    """When it is to be done, on the clock that never goes back, s."""


def each(
    work: Callable[[Thing], Made], things: Sequence[Thing], workers: int, seconds: float,
    begun: Callable[[Thing], None] = lambda _: None,
) -> Iterator[tuple[Thing, Made | Lost]]:
    """Every thing with what was made of it, as it is done; ``begun`` hears of each as it is begun.

    ``seconds``: what one may take; 0 for any time. With one worker and any time, no other process is begun. ``work`` is
    a function of a module, and things and what is made of them go through a pipe.
    """
    if workers < 2 and not seconds:
        for thing in things:
            begun(thing)
            yield thing, work(thing)
        return
    waiting, at_work, idle = list(reversed(things)), list[_Worker[Thing]](), list[_Worker[Thing]]()
    try:
        while waiting or at_work:
            while waiting and len(at_work) < workers:
                at_work.append(_set_to_work(work, waiting.pop(), idle, seconds, begun))
            done = _next_done(at_work)
            at_work.remove(done)
            made = _made(done)
            if not isinstance(made, Lost):
                idle.append(done)
            yield done.thing, made
    finally:
        for one in (*at_work, *idle):
            _end(one)


def _set_to_work(
    work: Callable[[Thing], Made], thing: Thing, idle: list[_Worker[Thing]], seconds: float,
    begun: Callable[[Thing], None],
) -> _Worker[Thing]:
    if idle:
        last = idle.pop()
        process, pipe = last.process, last.pipe
    else:
        # Processes started afresh: a copy of this one would hold its locks and threads.
        context = multiprocessing.get_context("spawn")
        pipe, other = context.Pipe()
        process = context.Process(target=_serve, args=(work, other), daemon=True)
        process.start()
        other.close()  # so that the pipe ends with the process
    begun(thing)
    with contextlib.suppress(OSError):  # it ended while it was idle: seen when its answer is waited for
        pipe.send(thing)
    return _Worker(process, pipe, thing, time.monotonic() + seconds if seconds else float("inf"))


def _serve(work: Callable[[Thing], Made], pipe: Connection) -> None:
    """What a process does: one thing after the other, until there is nobody who asks."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the one who asks is stopped, and stops us
    while True:
        try:
            thing = pipe.recv()
        except (EOFError, OSError):
            return
        made = work(thing)
        try:
            pipe.send(made)
        except OSError:
            return


def _next_done(at_work: Sequence[_Worker[Thing]]) -> _Worker[Thing]:
    """The first that is done, or has no time left."""
    first = min(at_work, key=lambda one: one.until)
    left = None if first.until == float("inf") else max(first.until - time.monotonic(), 0.0)
    ready = wait([one.pipe for one in at_work], left)
    return next((one for one in at_work if one.pipe in ready), first)


def _made(done: _Worker[Thing]) -> Made | Lost:
    """What came of it; the process of one that did not end is ended."""
    try:
        if done.pipe.poll():
            made: Made = done.pipe.recv()
            return made
        late = True
    except (EOFError, OSError):
        late = False
    _end(done)
    return Lost(late)


def _end(one: _Worker[Thing]) -> None:
    one.pipe.close()
    one.process.kill()
    one.process.join()
