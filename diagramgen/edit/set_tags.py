"""Writes the automatic tags of leads into a build file, changing only the bytes of those leads' lines.

The file is never written anew from what was read: words are put in where a lead's text ends, so that comments,
blanks, quotes and line ends stay as the technician left them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import yaml

from diagramgen.edit.codes import LAB_402
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.model.build import Build, Lead

_MARK = b"\xef\xbb\xbf"
"""A byte order mark; it is kept."""


@dataclass(frozen=True)
class _Written:
    """A lead as it stands in the text: what puts a tag into it, at which character."""

    at: int
    words: str


def pinned_bytes(data: bytes, build: Build, say: Diagnostics) -> tuple[bytes, tuple[str, ...]]:
    """The file with a tag in every lead line that had none, and the tags put in.

    A lead that no line of this file speaks of by itself (out of a group, entered lug by lug, a stretch of a bus, from
    the file this one changes) is left, with a note (LAB-402).
    """
    text = data.decode("utf-8-sig")
    places = _leads_in(text)
    put: list[tuple[_Written, str]] = []
    seen: set[tuple[int, int]] = set()
    for lead in build.leads:
        if lead.pinned:
            continue
        key = (lead.place.line, lead.place.column)
        written = places.get(key) if lead.place.file == build.file and not lead.bus else None
        if written is None or key in seen:
            say.add(LAB_402, lead.place, f"the tag {lead.tag} cannot be written into the file: {_why(lead, build)}")
            continue
        seen.add(key)
        put.append((written, lead.tag))
    for written, tag in sorted(put, key=lambda one: one[0].at, reverse=True):
        text = text[: written.at] + written.words.format(tag=tag) + text[written.at :]
    start = _MARK if data.startswith(_MARK) else b""
    return start + text.encode(), tuple(tag for _, tag in put)


def same_but_pinned(before: Build, after: Build) -> bool:
    """Whether the two builds have the same leads under the same tags, pinned or not."""
    def plain(leads: Sequence[Lead]) -> list[Lead]:
        return [replace(lead, pinned=False) for lead in leads]

    return plain(before.leads) == plain(after.leads) and before.parts.keys() == after.parts.keys()


def _why(lead: Lead, build: Build) -> str:
    if lead.bus:
        return "it is a stretch of a bus"
    if lead.place.file != build.file:
        return f"it stands in {lead.place.file}"
    return "no line under 'leads' is this lead alone"


def _leads_in(text: str) -> dict[tuple[int, int], _Written]:
    """Line and column of every entry of ``leads`` -> how a tag is put into it."""
    # The reader of events in Python, since its marks count characters of the text whatever the line ends are.
    events: list[Any] = list(yaml.parse(text, Loader=yaml.BaseLoader))
    result: dict[tuple[int, int], _Written] = {}
    for start in _entries(events):
        event = events[start]
        mark = (event.start_mark.line + 1, event.start_mark.column + 1)
        written = _in_line(event, text) if isinstance(event, yaml.ScalarEvent) else _in_keys(events, start, text)
        if written is not None:
            result[mark] = written
    return result


def _entries(events: list[Any]) -> Iterator[int]:
    """The index of the event with which each entry of the top key ``leads`` begins."""
    depth, found, key = 0, 0, True
    for i, event in enumerate(events):
        opens = isinstance(event, yaml.CollectionStartEvent)
        closes = isinstance(event, yaml.CollectionEndEvent)
        if depth == 1 and not closes:
            if not key and found == 1:
                # Entries in brackets on one line are parted by commas: no remark may be put in there.
                found = 2 if isinstance(event, yaml.SequenceStartEvent) and not event.flow_style else 0
            elif key:
                found = int(isinstance(event, yaml.ScalarEvent) and event.value == "leads")
            key = not key
        elif depth == 2 and found == 2 and not closes:
            yield i
        depth += int(opens) - int(closes)


def _in_line(event: Any, text: str) -> _Written | None:
    if event.style in ("|", ">"):
        return None
    at = event.end_mark.index - int(event.style in ("'", '"'))
    # A plain text ends with its last letter, wherever the reader noticed the end.
    while event.style not in ("'", '"') and at > event.start_mark.index and text[at - 1].isspace():
        at -= 1
    return _Written(at, ", tag {tag}")


def _in_keys(events: list[Any], start: int, text: str) -> _Written | None:
    """``{from: a.b, to: c.d}`` or the same as lines below one another."""
    opening: Any = events[start]
    column: int = opening.start_mark.column
    last, depth = start, 0
    for i in range(start, len(events)):
        depth += int(isinstance(events[i], yaml.CollectionStartEvent))
        depth -= int(isinstance(events[i], yaml.CollectionEndEvent))
        if depth == 0:
            last = i
            break
    if not isinstance(opening, yaml.MappingStartEvent) or last - start < 2:
        return None
    at = events[last - 1].end_mark.index
    while text[at - 1].isspace():
        at -= 1
    if opening.flow_style:
        return _Written(at, ", tag: {tag}")
    line_end = text.find("\n", at)
    rest = text[at:] if line_end < 0 else text[at:line_end]
    at += len(rest.rstrip("\r"))
    end = "\r\n" if rest.endswith("\r") else "\n"
    return _Written(at, end + " " * column + "tag: {tag}")
