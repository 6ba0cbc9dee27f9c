"""Writes the colours of a part's conductors into a build file, changing only the bytes of that part's entry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import yaml

from diagramgen.edit.mapping_span import MARK, after, begin, end, under, value_of
from diagramgen.kernel.diagnostics import Location
from diagramgen.reader.one_line import keyed, pieces
from diagramgen.reader.parts import PART_FIELDS
from diagramgen.yamlfile.nodes import ScalarNode


def coloured_bytes(data: bytes, part: str, colours: Mapping[str, str]) -> bytes:
    """The file with ``colours`` (lug -> word) at a part; what stood there under that key is replaced.

    Raises ``KeyError`` where the file itself has no such part (it may come from a group, or from the file this one
    changes).
    """
    text = data.decode("utf-8-sig")
    events: list[Any] = list(yaml.parse(text, Loader=yaml.BaseLoader))
    first = value_of(events, ("parts", part))
    words = "{" + ", ".join(f"{lug}: {word}" for lug, word in colours.items()) + "}"
    event = events[first]
    if isinstance(event, yaml.ScalarEvent):
        start, stop, put = begin(event), end(text, event), _spelt_out(event.value, words)
    else:
        start, stop, put = _among_keys(text, events, first, words)
    kept = MARK if data.startswith(MARK) else b""
    return kept + (text[:start] + put + text[stop:]).encode()


def _spelt_out(line: str, words: str) -> str:
    """A one-line entry as keys: ``dual-coil, through neck`` as ``{symbol: dual-coil, through: neck, colours: ...}``."""
    head, *rest = pieces(ScalarNode(line, Location("", 1, 1)))
    said = [f"symbol: {head.text}"]
    loose = []
    for piece in rest:
        found = keyed(piece, PART_FIELDS)
        if found is None:
            loose.append(piece.text)
        elif found[0].key == "at":
            said.append(f"at: [{', '.join(found[1].text.split())}]")
        elif found[0].key != "colours":
            value = found[1].text
            said.append(f"{found[0].key}: {_quoted(value)}")
    if loose:
        said.append(f"value: {_quoted(' '.join(loose))}")
    return "{" + ", ".join([*said, f"colours: {words}"]) + "}"


def _quoted(value: str) -> str:
    return "'" + value.replace("'", "''") + "'" if set(value) & set(",:[]{}#&*!|>'\"%@`") else value


def _among_keys(text: str, events: Sequence[Any], first: int, words: str) -> tuple[int, int, str]:
    """(start, end, text to put) for an entry of keys, in braces or one below the other."""
    opening = events[first]
    try:
        own = under(events, first, "colours")
    except KeyError:
        last = events[after(events, first) - 2]
        at: int = end(text, last) if isinstance(last, yaml.ScalarEvent) else last.end_mark.index
        if opening.flow_style:
            return at, at, f", colours: {words}"
        line_end = text.find("\n", at)
        rest = text[at:] if line_end < 0 else text[at:line_end]
        at += len(rest.rstrip("\r"))
        return at, at, ("\r\n" if rest.endswith("\r") else "\n") + " " * opening.start_mark.column + f"colours: {words}"
    start = events[own].start_mark.index
    closing = events[after(events, own) - 1]
    if isinstance(events[own], yaml.MappingStartEvent) and not events[own].flow_style:
        # Colours one below the other: the lines from the first to the last of them.
        last = events[after(events, own) - 2]
        return start, end(text, last), words.strip("{}").replace(", ", "\n" + " " * events[own].start_mark.column)
    return start, end(text, closing) if isinstance(closing, yaml.ScalarEvent) else closing.end_mark.index, words
