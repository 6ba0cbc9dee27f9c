"""Problems: what the program says about a build, each with a place, a reason and a remedy.

A problem has a code, whose meaning is declared once (``kernel.codes``), a severity
and the place in the file it speaks of. ``Diagnostics`` gathers all of them so that one run reports all.
"""

from __future__ import annotations

import difflib
import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import PurePath

from diagramgen.kernel.brief import brief
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.terminal_cells import cut_around, shown, wrapped

ADVICE = "What to do:"
"""Stands before every remedy: on a terminal, in the preview, after a fault that ends a command."""
_LINE_END = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
"""What YAML counts as the end of a line."""


def lines_of(text: str) -> list[str]:
    """The lines of a text as YAML counts them, without their ends."""
    return _LINE_END.split(text)


def spoken(path: PurePath | str) -> str:
    """The name of a file as it can be printed and written: bytes of it that are no UTF-8 become U+FFFD."""
    return os.fsencode(path).decode("utf-8", "replace")


@dataclass(frozen=True, order=True)
class Location:
    """Where in a file: line and column count from 1; ``line == 0`` speaks of the file as a whole."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file


@dataclass(frozen=True, repr=False)
class Problem:
    """One thing said about a build: ``code`` like ``INP-102``, what is wrong, and what to do about it."""

    code: str
    severity: Severity
    place: Location
    message: str
    remedy: str = ""
    excerpt: str = ""
    """The line of the file it speaks of, without its line end; empty where there is none."""

    def __repr__(self) -> str:
        """One line: severity, code, place, what is wrong."""
        return brief("Problem", f"{self.severity.word} {self.code} {self.place}: {self.message}")

    def text(self, width: int = 100, wrap: int = 0) -> str:
        """Return the problem as printed: place, sentence, the line of the file set in by four blanks, remedy.

        The line is cut around the place to ``width`` cells; sentences are wrapped to ``wrap`` cells where it is said.
        """
        lines = self._sentence(f"{self.place}: {self.severity.word} {self.code}: {self.message}", 4, wrap)
        if self.excerpt.strip():
            lines.append(" " * 4 + cut_around(self.excerpt, self.place.column, width).rstrip())
        if self.remedy:
            lines += self._sentence(f"  {ADVICE} {self.remedy}", 4, wrap)
        return "\n".join(lines)

    @staticmethod
    def _sentence(text: str, indent: int, wrap: int) -> list[str]:
        return wrapped(shown(text), wrap, indent) if wrap else [shown(text)]


class Stopped(Exception):  # noqa: N818 - not an error of the program: the build cannot go further
    """Raised when a step cannot go on; carries every problem found so far."""

    def __init__(self, problems: Iterable[Problem]):
        self.problems = tuple(problems)
        super().__init__("; ".join(p.message for p in self.problems))


class Diagnostics:
    """Gathers problems while a step goes on; sorts them by place; knows the source lines to quote."""

    def __init__(self, sources: dict[str, list[str]] | None = None):
        self._found: list[Problem] = []
        self._sources = sources if sources is not None else {}
        self._hushed: set[tuple[str, int]] = set()

    def know(self, file: str, text: str) -> None:
        """Keep the lines of a file, so that problems in it can quote the line they speak of."""
        self._sources[file] = lines_of(text)

    def line(self, place: Location) -> str:
        """The line of the file at a place, without its line end; empty where it is not known."""
        lines = self._sources.get(place.file, [])
        return lines[place.line - 1] if 0 < place.line <= len(lines) else ""

    def add(self, code: Code, place: Location, message: str, remedy: str | None = None) -> None:
        """Record one problem with the severity of its code.

        ``remedy``: what to do about it; the advice of the code where nothing is said.
        """
        self.take(Problem(code.id, code.severity, place, message, code.advice if remedy is None else remedy))

    def take(self, problem: Problem) -> None:
        """Record a problem, quoting the line of the file it speaks of where that file is known."""
        if (problem.place.file, problem.place.line) not in self._hushed:
            self._found.append(self.quoted(problem))

    def hush(self, file: str, lines: Iterable[int]) -> None:
        """Take no further problem of these lines: that they cannot be read has been said."""
        self._hushed.update((file, line) for line in lines)

    def aside(self) -> Diagnostics:
        """Another that knows the same files and takes nothing of the same lines."""
        other = Diagnostics(self._sources)
        other._hushed = self._hushed
        return other

    def quoted(self, problem: Problem) -> Problem:
        """A problem found elsewhere, with the line of the file it speaks of."""
        return replace(problem, excerpt=problem.excerpt or self.line(problem.place))

    def extend(self, problems: Iterable[Problem]) -> None:
        """Take over problems found elsewhere."""
        self._found.extend(problems)

    @property
    def has_errors(self) -> bool:
        """Whether any problem so far is an error."""
        return any(p.severity is Severity.ERROR for p in self._found)

    def sorted(self) -> tuple[Problem, ...]:
        """All problems in the order of their places, doubles dropped."""
        unique = dict.fromkeys(self._found)
        return tuple(sorted(unique, key=lambda p: (p.place, -p.severity, p.code, p.message)))

    def __iter__(self) -> Iterator[Problem]:
        return iter(self._found)

    def stop_on_errors(self) -> None:
        """Raise ``Stopped`` with everything found when any of it is an error."""
        if self.has_errors:
            raise Stopped(self.sorted())


def with_advice(fault: str, remedy: str) -> str:
    """Return a fault that ends a command as printed: its sentence, then on a line of its own what to do."""
    return f"{fault}\n  {ADVICE} {remedy}"


def nearest(word: str, valid: Iterable[str], limit: int = 8) -> str:
    """A sentence that offers the nearest valid name, or lists the valid ones where none is near.

    For names that differ only in a number no single guess is offered: all of them are.
    """
    names = sorted(set(valid))
    close = difflib.get_close_matches(word.lower(), names, n=6, cutoff=0.6)
    alike = [name for name in close if _differ_in_digits(name, close[0])]
    if close and len(alike) == 1:
        return f"Did you mean '{close[0]}'?"
    if alike:
        return f"Nearest: {', '.join(sorted(alike))}."
    if not names:
        return ""
    shown = ", ".join(names[:limit]) + (" ..." if len(names) > limit else "")
    return f"Valid here: {shown}."


def _differ_in_digits(a: str, b: str) -> bool:
    return "".join(c for c in a if not c.isdigit()) == "".join(c for c in b if not c.isdigit())
