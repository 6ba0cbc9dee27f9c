"""Problem codes: what each means is declared once, beside those who raise it, and read from there by everybody.

A module declares a code by a line ``NAME = Code(...)`` of its own, and a range of codes by ``NAME = Range(...)``.
``registry`` reads these lines out of every module of the package without importing it, so a new rule or feature brings
its codes in its own file, however heavy that is; a declaration is made of texts and severities alone.
The command that explains a code, the page ``docs/problems.md``, completion and the tests all read the registry.
"""

from __future__ import annotations

import ast
import difflib
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import IntEnum
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).resolve().parent.parent
_DECLARES = re.compile(r"(?m)^\w+ = (?:Code|Range)\(")


class Severity(IntEnum):
    """How much a problem stops. An error keeps a sheet from being written; a warning is printed on it."""

    NOTE = 0
    WARNING = 1
    ERROR = 2

    @property
    def word(self) -> str:
        """The word printed before the message."""
        return self.name.lower()


@dataclass(frozen=True)
class Code:
    """What one kind of problem means.

    ``text`` and ``advice`` are paragraphs parted by a blank line; a paragraph may be a list of lines that begin with
    ``- ``. Words between back quotes are keys, values or commands.
    """

    id: str
    severity: Severity
    title: str
    """One sentence without its full stop: what is wrong."""
    text: str = ""
    """How it is judged, and why it matters."""
    advice: str = ""
    """What to do, where it is the same whenever this is said."""
    was: str = ""
    """The id it had before, which is still answered."""
    also: tuple[tuple[Severity, str], ...] = ()
    """Other severities it is said with, and when."""

    def at(self, severity: Severity) -> Code:
        """The same code said with another severity.

        Raises ``ValueError`` for one that its declaration does not list.
        """
        if severity is self.severity:
            return self
        if severity not in [other for other, _ in self.also]:
            raise ValueError(f"{self.id} is not declared to be said as a {severity.word}")
        return replace(self, severity=severity)


@dataclass(frozen=True)
class Range:
    """Codes of one subject: those whose id is ``id`` and two figures more."""

    id: str
    about: str
    place: int
    """Where it stands among the ranges: they are listed by this number."""
    intro: str = ""
    """What holds for all of its codes; paragraphs as in ``Code``."""
    was: str = ""

    @property
    def name(self) -> str:
        """The range as it is written, such as ``INP-1xx``."""
        return f"{self.id}xx"


def _typed(word: str) -> str:
    """An id as it is written, from one that is typed in small letters, with a blank, or without its hyphen."""
    return re.sub(r"^([A-Z]{3})[\s_-]*(?=\d)", r"\1-", word.strip().upper())


@dataclass(frozen=True)
class Registry:
    """Ranges in their order and all codes, in the order of ranges and numbers."""

    ranges: tuple[Range, ...]
    codes: tuple[Code, ...]

    def of(self, one: Range) -> tuple[Code, ...]:
        """The codes of a range."""
        return tuple(code for code in self.codes if code.id[:-2] == one.id)

    def find(self, word: str) -> Code | None:
        """The code of an id or of one it had before, whatever its capitals; None where there is none."""
        typed = _typed(word)
        return next((code for code in self.codes if typed and typed in (code.id, code.was)), None)

    def ranges_named(self, word: str) -> tuple[Range, ...]:
        """The ranges a word means: an id such as ``INP-1`` or ``INP-1xx``, or the letters that several begin with."""
        typed = _typed(word).rstrip("X")
        return tuple(one for one in self.ranges if typed and any(
            typed == name or name[:-1].rstrip("-") == typed.rstrip("-") for name in (one.id, one.was) if name))

    def nearest(self, word: str) -> list[str]:
        """Ids like a word that is none, the likeliest first: at most four, or none."""
        typed = word.strip().upper()
        ids = {name: code.id for code in self.codes for name in (code.id, code.was) if name}
        # A figure typed twice or two exchanged is the usual slip: the same figures in any order come first.
        turned = [one for one in ids if one != typed and sorted(one) == sorted(typed)]
        close = difflib.get_close_matches(typed, ids, n=3, cutoff=0.7)
        return list(dict.fromkeys(ids[one] for one in (*turned, *close)))[:4]


@cache
def registry() -> Registry:
    """Every code and range that the package declares."""
    sources = (path.read_text(encoding="utf-8") for path in sorted(PACKAGE.rglob("*.py")))
    found = [one for source in sources if _DECLARES.search(source) for one in declared_in(source)]
    return registry_of((one for one in found if isinstance(one, Range)),
                       (one for one in found if isinstance(one, Code)))


def declared_in(source: str) -> Iterator[Code | Range]:
    """The codes and ranges that a module's text declares, in its order.

    Raises ``NameError`` where a declaration uses another name than those of this module.
    """
    names = {"Code": Code, "Range": Range, "Severity": Severity}
    for node in ast.parse(source).body:
        if isinstance(node, ast.Assign) and isinstance(node.value, ast.Call) and \
                isinstance(node.value.func, ast.Name) and node.value.func.id in ("Code", "Range"):
            yield eval(compile(ast.Expression(node.value), "<a declaration>", "eval"), {}, names)


def registry_of(ranges: Iterable[Range], codes: Iterable[Code]) -> Registry:
    """Ranges and codes in their order.

    Raises ``ValueError`` for a code that belongs to no range.
    """
    ordered = tuple(sorted(ranges, key=lambda one: one.place))
    rank = {one.id: n for n, one in enumerate(ordered)}
    given = list(codes)
    homeless = [code.id for code in given if code.id[:-2] not in rank]
    if homeless:
        raise ValueError(f"no range is declared for {', '.join(homeless)}")
    return Registry(ordered, tuple(sorted(given, key=lambda code: (rank[code.id[:-2]], code.id))))
