"""One-line forms: a head, then comma-separated remarks in any order, read by the same fields as the keys.

``neck: dual-coil, through neck-channel`` and ``volume.wiper -> output.tip, red, via 40 12`` are split at
commas first; a remark that begins with the key of a field is read by that field, any other remark is
handed to the caller.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.reader.lead_codes import INP_205, INP_206, INP_207
from diagramgen.yamlfile.codes import INP_102, INP_105
from diagramgen.yamlfile.nodes import ScalarNode
from diagramgen.yamlfile.schema_fields import Field, Flag, ListOf, Located, Values

EXAMPLES = {
    "tag": "tag W07", "gauge": "gauge 22 AWG", "od": "od 1.4", "length": "length 120", "via": "via 40 12",
    "over": "over volume", "under": "under volume", "apart from": "apart from W07", "twisted with": "twisted with W07",
    "cable": "cable loom", "shield to": "shield to volume.case", "note": "note keep long", "at": "at 34 24",
    "turned": "turned 15", "in": "in controls", "through": "through neck",
    "between": "between volume.ten and volume.wiper", "mounted on": "mounted on plate", "wood above": "wood above 5",
    "cable length": "cable length 300", "knob bore": "knob bore 6", "says": "says Master volume",
    "meant": "meant only a little quieter at 0",
}
"""A remark of each kind, for hints."""
Loose = Callable[[ScalarNode], tuple[str, Any] | None]
"""Reads a remark without a key into (key, value), or says a problem and returns None."""


LONGEST = 2000
"""Characters a line may have; more is the wrong file."""


def too_long(line: ScalarNode, say: Diagnostics) -> bool:
    """Whether the line is longer than any that is meant; it is said."""
    if len(line.text) <= LONGEST:
        return False
    say.add(INP_102, line.place, f"this line has {len(line.text)} characters; {LONGEST} fit", "Shorten it.")
    return True


def pieces(line: ScalarNode) -> list[ScalarNode]:
    """The line split at its commas, each piece stripped and with its own place."""
    result, at = [], 0
    for piece in line.text.split(","):
        lead = len(piece) - len(piece.lstrip())
        result.append(ScalarNode(piece.strip(), line.place_at(at + lead)))
        at += len(piece) + 1
    return result


def keyed(piece: ScalarNode, fields: Sequence[Field]) -> tuple[Field, ScalarNode] | None:
    """The field whose key begins the piece, with the rest of the piece; longest key first."""
    words = piece.text.split(" ")
    for count in range(min(len(words), 3), 0, -1):
        key = " ".join(words[:count]).lower()
        for f in fields:
            if f.key == key:
                rest = piece.text[len(key):]
                start = len(key) + len(rest) - len(rest.lstrip())
                return f, ScalarNode(rest.strip(), piece.place_at(start))
    return None


def _without_decimal_commas(given: Sequence[ScalarNode], say: Diagnostics) -> list[ScalarNode]:
    """The pieces with a number torn apart by a decimal comma said once and put together again."""
    kept: list[ScalarNode] = []
    for piece in given:
        before = kept[-1] if kept else None
        torn = before is not None and re.search(r"\d$", before.text) and re.match(r"\d+[a-zA-Z]{0,2}(\s|$)", piece.text)
        # "at 34 24, 250k" is two remarks; "at 34,5 24" and "6,8k" stand without a blank after the comma.
        if before is not None and torn and piece.place.column == before.place.column + len(before.text) + 1:
            say.add(INP_105, before.place, f"'{before.text},{piece.text}' has a decimal comma",
                    f"Write a point: {before.text}.{piece.text}")
            kept[-1] = ScalarNode(f"{before.text}.{piece.text}", before.place)
        else:
            kept.append(piece)
    return kept


def read_remarks(
    given: Sequence[ScalarNode], fields: Sequence[Field], loose: Loose, start: Values, say: Diagnostics
) -> Values:
    """The remarks after the head, added to what the head gave; faults go to ``say``."""
    values: dict[str, Any] = {}
    places: dict[str, Location] = {}
    given = _without_decimal_commas(given, say)
    for piece in given:
        if not piece.text:
            say.add(INP_205, piece.place, "there is nothing between two commas")
            continue
        found = keyed(piece, fields)
        if found is None:
            pair = loose(piece)
        else:
            value = _value(found[0], found[1], piece, say)
            pair = None if value is None else (found[0].key, value)
        if pair is None:
            continue
        key, value = pair
        if key in values and isinstance(value, tuple):
            values[key] = (*values[key], *value)
        elif key in values:
            stripe = "; a stripe is written white/black" if key == "colour" else ""
            say.add(INP_206, piece.place, f"'{key}' is said twice on this line", f"Keep one of the two{stripe}.")
        else:
            values[key], places[key] = value, piece.place
    return start.plus(values, places)


def _value(field: Field, rest: ScalarNode, piece: ScalarNode, say: Diagnostics) -> Any:
    if isinstance(field.kind, Flag):
        if not rest.text:
            return True
        say.add(INP_207, rest.place, f"'{field.key}' stands alone, but '{rest.text}' follows it",
                "Put a comma between them.")
        return None
    if not rest.text:
        say.add(INP_207, piece.place, f"'{field.key}' needs something after it",
                f"Write it like: {EXAMPLES.get(field.key, field.key + ' ...')}.")
        return None
    if isinstance(field.kind, ListOf):
        value = field.kind.kind.read(rest, say)
        return None if value is None else (Located(value, rest.place),)
    return field.kind.read(rest, say)


def words_of(fields: Sequence[Field]) -> Mapping[str, str]:
    """Key -> meaning of every remark a line may hold, for hints and the reference."""
    return {f.key: f.doc for f in fields}
