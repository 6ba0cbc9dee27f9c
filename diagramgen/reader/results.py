"""The results file: what was metered on the bench, beside the build it was metered on.

    coils:                      each coil loose, its leads on nothing
      neck.a: 3.71k
    plug:                       tip to sleeve, by position, knobs at 10; 'at zero' with the knobs at 0
      - {when: {selector: up}, ohms: 7.81k, at zero: 0}

Keys without a value are readings that were not taken. Which controls and coils there are is not known here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from diagramgen.kernel import units
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.model.results import AtPlug, Results
from diagramgen.reader.codes import INP_015, REC_501
from diagramgen.reader.glyph_check import check_told
from diagramgen.reader.position_keys import BesideControls
from diagramgen.reader.tables import CONTROL
from diagramgen.reader.upgrade import RESULTS_FORMAT, upgraded_results
from diagramgen.yamlfile.nodes import MappingNode, Node, ScalarNode, decode, kind_word, parse
from diagramgen.yamlfile.schema_fields import (
    Field,
    FieldType,
    FreeText,
    ListOf,
    Located,
    MapOf,
    Measured,
    Number,
    Pattern,
    Record,
    Schema,
    Values,
)

OPEN = math.inf
"""What a meter without a way for its current shows, as ohms."""
OPEN_WORDS = ("open", "ol", "o.l", "inf", "infinite")
COIL = Pattern(r"[a-z][a-z0-9-]*(?:\.[a-z0-9-]+(?: [a-z0-9-]+)*)?", "a coil",
               "The name of a pickup, or pickup.coil where it has several: neck.a.")
MOST = 2000
"""Readings at the plug in one file at most; no instrument has as many circuits."""


@dataclass(frozen=True)
class Blank:
    """A value that may be left empty: not read, and no fault."""

    kind: FieldType[Any]

    def read(self, node: Node, say: Diagnostics) -> Any:
        """Read the value, nothing where the place is empty."""
        if isinstance(node, ScalarNode) and not node.text.strip():
            return None
        return self.kind.read(node, say)

    def schema(self) -> Schema:
        """The value, or nothing."""
        return {"anyOf": [self.kind.schema(), {"type": "null"}]}


@dataclass(frozen=True)
class Ohms:
    """A meter's reading in ohm, or ``open``."""

    def read(self, node: Node, say: Diagnostics) -> float | None:
        """Read it."""
        if isinstance(node, ScalarNode) and node.text.strip().lower() in OPEN_WORDS:
            return OPEN
        return Measured(units.RESISTANCE, allow_zero=True).read(node, say)

    def schema(self) -> Schema:
        """A number or a text."""
        return {"type": ["number", "string"]}


PLUG_FIELDS = (
    Field("when", MapOf(FreeText(40), CONTROL), "Positions: control -> position; or the controls beside the other "
          "keys."),
    Field("at", CONTROL, "The output it was metered at, where there are several: a jack (tip to sleeve, its own plug "
          "in), or jack.ring (ring to sleeve, a stereo plug in).", default="the tip of the first jack"),
    Field("ohms", Blank(Ohms()), "Tip to sleeve, knobs at 10, blends and trimmers at 5; or open.", unit="ohm"),
    Field("at zero", Blank(Ohms()), "The same with the knobs at 0.", unit="ohm"),
    Field("heard", Blank(FreeText(60)), "By ear, in words: as it should, weak, crackles."),
    Field("note", Blank(FreeText(120)), "A remark."),
)
PLUG = BesideControls(Record("a reading at the plug", PLUG_FIELDS))


RESULTS = Record("a results file", (
    Field("format", Number(1, 999, whole=True), "Version of this format.", default=str(RESULTS_FORMAT)),
    Field("job", Blank(FreeText(40)), "The shop's job number; must be the build's."),
    Field("date", Blank(FreeText(40)), "When it was metered."),
    Field("metered by", Blank(FreeText(60)), "Who signs for it, in words."),
    Field("meter", Blank(FreeText(80)), "The meter used."),
    Field("coils", MapOf(Blank(Ohms()), COIL), "Each coil metered loose: it takes the place of the typical value.",
          unit="ohm"),
    Field("plug", ListOf(PLUG), "Readings at the plug, one for each position."),
    Field("strings to sleeve", Blank(Ohms()), "From a string to the plug's sleeve, plug in.", unit="ohm"),
    Field("battery current", Blank(Measured(units.CURRENT)), "With a mono plug in."),
    Field("battery voltage", Blank(Measured(units.VOLTAGE)), "Of the battery that went in."),
    Field("battery date", Blank(FreeText(40)), "When the battery went in."),
    Field("note", Blank(FreeText(400, lines=True)), "A remark."),
))


def read_results(data: bytes, file: str, say: Diagnostics) -> Results | None:
    """The readings in a file's bytes; every fault goes to ``say``, None where nothing usable is there."""
    text = decode(data, file, say)
    if text is None:
        return None
    say.know(file, text)
    before = sum(1 for _ in say)
    node = parse(text, file, say)
    if not isinstance(node, MappingNode):
        if sum(1 for _ in say) == before:
            found = kind_word(node) if node is not None else "nothing"
            say.add(REC_501, Location(file), f"a results file holds keys such as plug and coils; found {found}")
        return None
    root = upgraded_results(node, say)
    values = None if root is None else RESULTS.read(root, say)
    if values is None:
        return None
    check_told(values, "the readings", say)
    for one in values.get("plug", ()):
        check_told(one.value, "a reading", say)
    plug = values.get("plug", ())
    if len(plug) > MOST:
        say.add(INP_015, values.at("plug"), f"the file holds {len(plug)} readings; no instrument has more than {MOST}")
        return None
    return Results(
        file, _given(values, "job"), values.get("date", ""), values.get("metered by", ""), values.get("meter", ""),
        values.get("coils", {}), tuple(_at_plug(g.value) for g in plug), _given(values, "strings to sleeve"),
        _given(values, "battery current"), values.get("battery voltage"), values.get("battery date", ""),
        values.get("note", ""),
    )


def _given(values: Values, key: str) -> Located[Any] | None:
    return Located(values.get(key), values.at(key)) if values.has(key) else None


def _at_plug(v: Values) -> AtPlug:
    return AtPlug(v.get("when", {}), _given(v, "ohms"), _given(v, "at zero"), v.get("heard", ""), v.get("note", ""),
                  v.place, _given(v, "at"))
