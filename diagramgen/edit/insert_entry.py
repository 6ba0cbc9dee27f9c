"""Puts one part or lead into a build file: an insertion at one place, every other byte as it was.

The file is never written anew from what was read. Entries one below the other get a line of their own behind the
last one, with its indent and the file's own line end; entries in brackets get one more before the bracket closes.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import yaml

from diagramgen.edit.mapping_span import MARK, after, under

_LINE_END = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
PART, LEAD = "part", "lead"
_UNDER = {PART: "parts", LEAD: "leads"}
_RISKY_FIRST = set("!&*-?|>@`%{}[],#:\"'")


class CannotAdd(ValueError):  # noqa: N818 - said to the technician
    """The entry or the file is of a kind that cannot be added to; ``remedy`` says what to do."""

    def __init__(self, message: str, remedy: str = ""):
        super().__init__(message)
        self.remedy = remedy


@dataclass(frozen=True)
class Added:
    """The new bytes, and where in them the entry stands."""

    data: bytes
    line: int


@dataclass(frozen=True)
class _Entry:
    """What is added: the name of a part (empty for a lead) and the rest, as typed."""

    name: str
    value: str

    def below(self) -> str:
        """As one of several entries below one another."""
        return f"{self.name}: {_safe(self.value, False)}" if self.name else f"- {_safe(self.value, False)}"

    def in_brackets(self) -> str:
        """As one of several entries between brackets."""
        value = _safe(self.value, True)
        return f"{self.name}: {value}" if self.name else value


def added(data: bytes, kind: str, text: str) -> Added:
    """The file with one entry more. Raises ``CannotAdd``; ``yaml.YAMLError`` where the file is no YAML."""
    entry = _entry(kind, text)
    before = data.decode("utf-8-sig")
    # The reader of events in Python, since its marks count characters of the text whatever the line ends are.
    events: list[Any] = list(yaml.parse(before, Loader=yaml.BaseLoader))
    at, put = _place(before, events, _UNDER[kind], entry)
    new = before[:at] + put + before[at:]
    line = 1 + len(_LINE_END.findall(new[: at + len(put.rstrip("\r\n"))]))
    return Added((MARK if data.startswith(MARK) else b"") + new.encode(), line)


def _entry(kind: str, text: str) -> _Entry:
    plain = text.strip()
    if any(unicodedata.category(letter) in ("Cc", "Cs", "Zl", "Zp") for letter in plain):
        raise CannotAdd("the text has a line break, a tab or a control character in it",
                        "Give one line a part or lead.")
    if kind == LEAD:
        plain = plain.removeprefix("- ").strip()
        if "->" not in plain and not plain.startswith("{"):
            raise CannotAdd(f"'{plain}' is no lead", "Write it as in the file: volume.wiper -> output.tip, red")
        return _Entry("", plain)
    name, colon, value = plain.partition(":")
    if not colon or not name.strip() or not value.strip():
        raise CannotAdd(f"'{plain}' is no part", "Write it as in the file: tone: pot-24, 250k log")
    if not re.fullmatch(r"[A-Za-z][A-Za-z0-9-]*", name.strip()):
        raise CannotAdd(f"'{name.strip()}' is no name", "Names are letters, digits and hyphens: neck-tone")
    return _Entry(name.strip(), value.strip())


def _safe(value: str, brackets: bool) -> str:
    """The text so that YAML reads the same letters: in quotes where it would mean something else."""
    if value[0] in "{'\"" and _is_one_value(value):
        return value
    risky = value[0] in _RISKY_FIRST or ": " in value or " #" in value or value.endswith(":")
    if risky or (brackets and set(value) & set(",[]{}:#")):
        return "'" + value.replace("'", "''") + "'"
    return value


def _is_one_value(value: str) -> bool:
    """Whether the text is keys in braces, or a text in quotes, as it stands."""
    try:
        node = yaml.compose(value, Loader=yaml.BaseLoader)
    except yaml.YAMLError:
        return False
    return isinstance(node, yaml.MappingNode) or (isinstance(node, yaml.ScalarNode) and node.style in ("'", '"'))


def _place(text: str, events: Sequence[Any], key: str, entry: _Entry) -> tuple[int, str]:
    """Where the entry is put in, and as what."""
    root = next((i for i, e in enumerate(events) if isinstance(e, yaml.NodeEvent)), -1)
    if root < 0 or not isinstance(events[root], yaml.MappingStartEvent):
        raise CannotAdd("this is no build file: it has no keys such as title, parts and leads",
                        "Begin one with: diagramgen start.")
    if events[root].flow_style:
        raise CannotAdd("the whole file stands in braces", "Write its keys below one another first.")
    try:
        value = under(events, root, key)
    except KeyError:
        return _new_key(text, events, key, entry)
    event = events[value]
    wanted = yaml.MappingStartEvent if key == "parts" else yaml.SequenceStartEvent
    if isinstance(event, wanted):
        closing = after(events, value) - 1
        last = closing - 1
        if event.flow_style:
            return _into_brackets(text, events, (value, last, closing), entry)
        opening: Any = event
        return _below(text, _end(text, events, last), " " * opening.start_mark.column + entry.below())
    if isinstance(event, yaml.ScalarEvent) and not event.value and event.style is None:
        return _below(text, _end(text, events, value - 1) + 1, "  " + entry.below())
    raise CannotAdd(f"what stands under '{key}' is not what belongs there", "diagramgen check says what does.")


def _end(text: str, events: Sequence[Any], last: int) -> int:
    """Where the last letter of the node that ends with an event stands.

    The end of a list or group of lines is that of its last entry; of a text in lines of its own, its last line.
    """
    while isinstance(events[last], yaml.CollectionEndEvent) and events[last].start_mark.index == events[
        last].end_mark.index:
        last -= 1
    event = events[last]
    at: int = event.end_mark.index
    quoted = isinstance(event, yaml.ScalarEvent) and event.style in ("'", '"')
    while not quoted and at > event.start_mark.index and text[at - 1].isspace():
        at -= 1
    return at


def _below(text: str, at: int, line: str) -> tuple[int, str]:
    """A line of its own behind the line a place is in."""
    found = _LINE_END.search(text, at)
    at = found.start() if found else len(text)
    first = _LINE_END.search(text)
    return at, (first[0] if first else "\n") + line


def _new_key(text: str, events: Sequence[Any], key: str, entry: _Entry) -> tuple[int, str]:
    if any(isinstance(e, yaml.DocumentEndEvent) and e.explicit for e in events):
        raise CannotAdd("the file ends with '...'", f"Delete that line, or write '{key}:' above it.")
    first = _LINE_END.search(text)
    end = first[0] if first else "\n"
    begin = "" if not text or _LINE_END.search(text, len(text) - 1) else end
    return len(text), f"{begin}{key}:{end}  {entry.below()}{end}"


def _into_brackets(text: str, events: Sequence[Any], where: tuple[int, int, int], entry: _Entry) -> tuple[int, str]:
    opening, last, closing = where
    if last == opening:
        return events[closing].start_mark.index, entry.in_brackets()
    event = events[last]
    at: int = event.end_mark.index
    if isinstance(event, yaml.ScalarEvent) and event.style is None:
        at = _end(text, events, last)
    return at, f", {entry.in_brackets()}"
