"""Writes a cavity's outline into a build file, changing only the bytes of that cavity's entry."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import yaml

from diagramgen.edit.mapping_span import MARK, after, begin, end, under, value_of
from diagramgen.kernel.folding import folded
from diagramgen.reader.cavities import ONLY


def cavity_names(data: bytes) -> list[str]:
    """The cavities a file itself has, as written; a single one is ``cavity``."""
    events = _events(data.decode("utf-8-sig"))
    names: list[str] = []
    for key in (ONLY, "cavities"):
        try:
            at = value_of(events, (key,))
        except KeyError:
            continue
        names += [ONLY] if key == ONLY else _keys(events, at)
    return names


def outlined_bytes(data: bytes, cavity: str, shape: str) -> bytes:
    """The file with ``shape`` (in braces, on one line) at a cavity, in place of the shape that stood there.

    Raises ``KeyError`` where the file itself has no such cavity.
    """
    text = data.decode("utf-8-sig")
    events = _events(text)
    try:
        first = value_of(events, ("cavities", cavity))
    except KeyError:
        if folded(cavity) != ONLY:
            raise
        first = value_of(events, (ONLY,))
    if not isinstance(events[first], yaml.MappingStartEvent):
        raise KeyError(cavity)
    at, to, put = _change(text, events, first, shape)
    kept = MARK if data.startswith(MARK) else b""
    return kept + (text[:at] + put + text[to:]).encode()


def _events(text: str) -> list[Any]:
    # The reader of events in Python, since its marks count characters of the text whatever the line ends are.
    return list(yaml.parse(text, Loader=yaml.BaseLoader))


def _keys(events: Sequence[Any], opening: int) -> list[str]:
    names, at = [], opening + 1
    if not isinstance(events[opening], yaml.MappingStartEvent):
        return []
    while not isinstance(events[at], yaml.MappingEndEvent):
        names.append(str(getattr(events[at], "value", "")))
        at = after(events, after(events, at))
    return names


def _change(text: str, events: Sequence[Any], first: int, shape: str) -> tuple[int, int, str]:
    """(start, end, text to put)."""
    opening = events[first]
    try:
        own = under(events, first, "shape")
    except KeyError:
        # Before the first key: behind the last one a remark or a text of many lines may stand.
        key = events[first + 1]
        if isinstance(key, yaml.MappingEndEvent):
            return begin(opening) + 1, begin(opening) + 1, f"shape: {shape}"
        at = begin(key)
        if opening.flow_style:
            return at, at, f"shape: {shape}, "
        line = text[at:].split("\n", 1)[0]
        return at, at, f"shape: {shape}" + ("\r\n" if line.endswith("\r") else "\n") + " " * key.start_mark.column
    value = events[own]
    last = events[after(events, own) - 1]
    if isinstance(value, yaml.ScalarEvent):
        return begin(value), end(text, value), shape if value.value else f" {shape}"
    if value.flow_style:
        return begin(value), last.end_mark.index, shape
    # Keys one below the other: from the line end behind ``shape:`` to the last letter of the last value.
    before = events[own - 1]
    colon = text.index(":", before.end_mark.index) + 1
    inner = after(events, own) - 2
    stop = end(text, events[inner]) if isinstance(events[inner], yaml.ScalarEvent) else _close(text, events, inner)
    return colon, stop, f" {shape}"


def _close(text: str, events: Sequence[Any], number: int) -> int:
    """The last letter of a list or group that ends the shape."""
    while not isinstance(events[number], yaml.ScalarEvent):
        if events[number].end_mark.index > events[number].start_mark.index:
            at: int = events[number].end_mark.index
            return at
        number -= 1
    return end(text, events[number])
