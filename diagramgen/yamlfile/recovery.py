"""Punctuation that cannot be read: what is said of it, and what stays of the file around it.

Where an entry cannot be read, its value and the lines indented under it are put aside and its name is kept, so that
the other faults of the file are found in the same run and nothing is said to be missing that is there.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import yaml

from diagramgen.kernel.diagnostics import Location, lines_of

MOST_FAULTS = 20
LONGEST = 100_000
"""Characters: a longer file is read once only, or a made one could hold the program up."""
LONGEST_NAME = 200
NO_VALUE = "unreadable"
_LINE_UP = "Keys that belong together start in the same column."
_OTHERS = {
    "<document start>": ("this line starts further left than the first one",
                         "Keys at the top of the file start in the first column."),
    "expected comment or line break": ("a value cannot start with | or >",
                                       "Put it in quotes, or begin it with its first coil."),
    "maximum nesting depth": ("the file is nested too deeply", "A build needs no such depth; is this the right file?"),
    "cannot start any token": ("a value cannot start with this character", "Put the value in quotes."),
}
_NO_COLON = "a key without its colon and blank", "Write 'key: value' with a blank after the colon."
_KEY = r"""[^\s#:,\[\]{}"'&*!|>%@`-][^:#"'\[\]{}]*?"""
_ENTRY = re.compile(rf"(?P<before> *)(?P<item>- +)?((?P<key>{_KEY}) *:(\s|$)|(?P<word>[\w-]+))?")


@dataclass(frozen=True)
class Fault:
    """A fault of punctuation, in words."""

    place: Location
    message: str
    remedy: str
    quote: bool = False
    """A quotation mark that is not closed: what follows it in the file was taken as text."""


@dataclass(frozen=True)
class Broken:
    """The lines of an entry that cannot be read, counted from 1, and what stands in place of the first."""

    fault: Fault
    lines: range
    stands: str


def fault_of(
    fault: yaml.MarkedYAMLError, file: str, text: str, long_quote: tuple[Location, Location] | None = None
) -> Fault:
    """What a technician is told of a fault the parser found.

    ``long_quote``: where the last quoted text of several lines before it begins and ends.
    """
    # For an unclosed bracket or quote the place where it was opened helps; the end of the file does not.
    context = str(fault.context or "")
    opened = fault.context_mark is not None and any(w in context for w in ("flow", "quoted", "simple key"))
    opened = opened and "nesting" not in str(fault.problem)
    mark = fault.context_mark if opened else (fault.problem_mark or fault.context_mark)
    line, column = (mark.line + 1, mark.column + 1) if mark else (0, 0)
    if long_quote and long_quote[1].line == line:
        # Its end lies before the fault: a mark further down was taken for the closing one.
        return Fault(long_quote[0], f"a quotation mark opened here is closed on line {line} only",
                     "Close it on this line, or leave the quotes out.", quote=True)
    lines = lines_of(text)
    row = lines[line - 1] if 0 < line <= len(lines) else ""
    message = str(fault.problem or fault.context or "cannot be read")
    remedy = "Check the indentation and the punctuation of this line and the one before."
    if "\t" in row[: max(column, 1)] or "'\\t'" in message:
        message, remedy = "a tab is used for indentation", "Use spaces: two for each step."
    elif opened and "flow" in context:
        if row[column - 1:column] not in ("[", "{"):  # the parser names what stands first in the bracket
            line, column = _opened(lines, line) or (line, column)
            row = lines[line - 1] if line <= len(lines) else ""
        message = f"a bracket opened here ('{row[column - 1:column]}') is not closed, or a comma is missing in it"
        remedy = "Close it with the matching bracket; put a comma between its entries."
    elif opened and "quoted" in context:
        message, remedy = "a quotation mark opened here is not closed", "Close it, or leave the quotes out."
    else:
        line, column, message, remedy = _of_keys(lines, line, column, message, remedy)
    return Fault(Location(file, line, column), message, remedy, opened and "quoted" in context)


def _of_keys(
    lines: list[str], line: int, column: int, message: str, remedy: str
) -> tuple[int, int, str, str]:
    """What is wrong with a key or with the start of a value, from the words of the parser."""
    row = lines[line - 1] if 0 < line <= len(lines) else ""
    before, indent = _before(lines, line), _indent(row)
    if "mapping values are not allowed" in message:
        if ": " in row[:column - 1] or line < 2:
            return (line, column, "a second colon with a blank after it stands on this line",
                    "One key and one value a line; a text that holds a colon goes in quotes.")
        # The colon is that of its own key, and the line was taken to go on from the one before.
        if _has_colon(lines[before - 1]):
            return (line, indent + 1, "this line is set in further than the one before, which has its value already",
                    _LINE_UP)
        return before, _indent(lines[before - 1]) + 1, *_NO_COLON
    if "could not find expected ':'" in message:
        return line, column, *_NO_COLON
    if "did not find expected key" in message and _bare(lines, before, indent):
        return before, column, *_NO_COLON
    if "did not find expected key" in message or "expected <block end>" in message:
        return line, column, "this line does not line up with the lines before it", _LINE_UP
    for words, (said, help_) in _OTHERS.items():
        if words in message:
            return line, column, said, help_
    return line, column, message, remedy


def _before(lines: list[str], line: int) -> int:
    """The nearest line above that says something, counted from 1."""
    line = min(line - 1, len(lines))
    while line > 1 and lines[line - 1].strip()[:1] in ("", "#"):
        line -= 1
    return max(line, 1)


def _opened(lines: list[str], line: int) -> tuple[int, int] | None:
    """Line and column of the nearest bracket that ends a line above and holds what follows; None without one."""
    while line > 1 and (line > len(lines) or _indent(lines[line - 1])):
        line = _before(lines, line)
        said = _said(lines[line - 1])
        if said.endswith(("[", "{")):
            return line, len(said)
    return None


def _said(row: str) -> str:
    """A line without its comment."""
    return row.split(" #", maxsplit=1)[0].rstrip()


def _has_colon(row: str) -> bool:
    return re.search(r":(\s|$)", _said(row)) is not None


def _bare(lines: list[str], line: int, indent: int) -> bool:
    """Whether a line holds words without a colon where a key must stand."""
    row = lines[line - 1]
    return _indent(row) == indent and not row.lstrip().startswith("-") and not _has_colon(row)


def with_fault(text: str, broken: list[Broken], fault: Fault) -> list[Broken] | None:
    """The entries to be put aside, with that of one more fault; None where it is of no use to read on."""
    if len(text) > LONGEST or len(broken) >= MOST_FAULTS:
        return None
    one = _entry_of(text, fault)
    if one is None or any(one.lines == other.lines for other in broken):
        return None
    # The parser goes from top to bottom: a fault above one that it found before is where that one comes from.
    inside = [other for other in broken if other.lines.start > one.lines.start]
    if inside and not fault.quote:
        one = Broken(inside[0].fault, one.lines, one.stands)
    return [*(other for other in broken if other not in inside), one]


def _entry_of(text: str, fault: Fault) -> Broken | None:
    lines = lines_of(text)
    if not 0 < fault.place.line <= len(lines):
        return None
    first = lines[fault.place.line - 1][:LONGEST_NAME]
    found = _ENTRY.match(first)
    if found is None or "\t" in first[: len(first) - len(first.lstrip())]:
        return None
    if found["item"]:
        stands = f"{found['before']}- {NO_VALUE}"
    elif found["key"] or found["word"]:
        stands = f"{found['before']}{found['key'] or found['word']}: {NO_VALUE}"
    else:
        return None
    end = fault.place.line
    while end < len(lines) and (not lines[end].strip() or _indent(lines[end]) > len(found["before"])):
        end += 1
    return Broken(fault, range(fault.place.line, end + 1), stands)


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip(" "))


def without(text: str, broken: list[Broken]) -> str:
    """The text with the entries put aside; every other line stays the line it was."""
    lines = lines_of(text)
    for one in broken:
        for number in one.lines:
            lines[number - 1] = one.stands if number == one.lines.start else ""
    return "\n".join(lines)


def keys_of(text: str, broken: list[Broken]) -> frozenset[str]:
    """The keys at the top of the file under which the entries stand, or which they are."""
    lines = without(text, broken).split("\n")
    tops = (next((row for row in lines[one.lines.start - 1::-1] if row[:1] not in ("", " ", "#", "-")), "")
            for one in broken)
    return frozenset(row.split(":", maxsplit=1)[0].strip() for row in tops)
