"""What a call of the package can raise for what a person gave it; every message is one sentence for the bench.

All are ``DiagramgenError``. A faulty build file raises nothing: its problems are in the ``Analysis``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Problem, nearest

FREE_IT = "Choose another folder with --out, or free it."
SAID = 3
"""Errors that one sentence names."""


class DiagramgenError(Exception):
    """What every other error here is one of."""


class NotProved(DiagramgenError, ValueError):  # noqa: N818 - it says what is the case, in the user's words
    """A file has errors, so nothing is made of it; ``problems`` holds them."""

    def __init__(self, problems: Sequence[Problem]):
        self.problems = tuple(p for p in problems if p.severity is Severity.ERROR)
        super().__init__(self._said() or "nothing could be laid out")

    def _said(self) -> str:
        """One error with its remedy; of several the first ones with their places, and how many there are."""
        said = [f"{p.place}: {p.message}" for p in self.problems[:SAID]]
        if len(self.problems) <= 1:
            return "".join(f"{p.place}: {p.message}. {p.remedy}".strip() for p in self.problems)
        more = len(self.problems) - len(said)
        return f"{len(self.problems)} errors: {'; '.join(said)}{f'; and {more} more in its problems' if more else ''}"

    def __reduce__(self) -> tuple[object, ...]:
        # As it comes back from another process.
        return type(self), (self.problems,)


class UnknownName(DiagramgenError, ValueError):  # noqa: N818 - it says what is the case, in the user's words
    """A name there is none of, such as a kind of sheet or a control; the message offers the nearest."""


class WrongValue(DiagramgenError, ValueError):  # noqa: N818 - it says what is the case, in the user's words
    """A value that is out of its range or cannot be read; the message says what is expected."""


class NotAvailable(DiagramgenError, ValueError):  # noqa: N818 - it says what is the case, in the user's words
    """What was asked for cannot be had of this build, or on this machine; the message says why."""


class CannotWrite(DiagramgenError):  # noqa: N818 - it says what is the case, in the user's words
    """A file could not be written; ``path`` says which, ``reason`` why, ``remedy`` what to do."""

    def __init__(self, path: Path, reason: str, remedy: str = FREE_IT):
        super().__init__(f"cannot write {path}: {reason}")
        self.path = path
        self.reason = reason
        self.remedy = remedy

    def __reduce__(self) -> tuple[object, ...]:
        # As it comes back from another process.
        return type(self), (self.path, self.reason, self.remedy)


def known_name(name: str, names: Iterable[str], what: str) -> str:
    """The name, where there is one of it.

    Parameters: name - as given; names - those there are; what - of what kind, in words: ``paper``.
    Raises ``UnknownName`` with the nearest.
    """
    valid = tuple(names)
    if name not in valid:
        raise UnknownName(f"there is no {what} '{name}'. {nearest(name, valid)}".rstrip())
    return name
