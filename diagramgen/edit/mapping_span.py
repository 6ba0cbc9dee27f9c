"""Finding entries in a build file's text by the events of its reader, so that only their bytes are changed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import yaml

from diagramgen.kernel.folding import folded

MARK = b"\xef\xbb\xbf"
"""A byte order mark; it is kept."""


def value_of(events: Sequence[Any], path: Sequence[str]) -> int:
    """The number of the event with which the value under a path of keys begins."""
    at = next(i for i, e in enumerate(events) if isinstance(e, yaml.MappingStartEvent))
    for key in path:
        at = under(events, at, key)
    return at


def under(events: Sequence[Any], opening: int, key: str) -> int:
    """The number of the event with which the value under one key begins; raises ``KeyError``."""
    if not isinstance(events[opening], yaml.MappingStartEvent):
        raise KeyError(key)
    at = opening + 1
    while not isinstance(events[at], yaml.MappingEndEvent):
        value = after(events, at)
        name = events[at].value if isinstance(events[at], yaml.ScalarEvent) else ""
        if folded(str(name)) == key.lower():
            return value
        at = after(events, value)
    raise KeyError(key)


def after(events: Sequence[Any], start: int) -> int:
    """The number of the event behind a node."""
    depth = 0
    for i in range(start, len(events)):
        depth += int(isinstance(events[i], yaml.CollectionStartEvent))
        depth -= int(isinstance(events[i], yaml.CollectionEndEvent))
        if depth == 0:
            return i + 1
    raise AssertionError("unreachable: the reader closes every node")


def begin(event: Any) -> int:
    """Where a node begins in the text."""
    at: int = event.start_mark.index
    return at


def end(text: str, event: Any) -> int:
    """Where a scalar's last letter stands, whatever blanks the reader took with it."""
    at: int = event.end_mark.index
    while event.style not in ("'", '"') and at > event.start_mark.index and text[at - 1].isspace():
        at -= 1
    return at
