"""Reads a symbol file into a ``Symbol``: one field table for the reader and the schema."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from diagramgen.kernel import units
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.library.codes import SYM_100, SYM_101, SYM_102, SYM_103, SYM_104, SYM_105, SYM_106, SYM_121
from diagramgen.library.expressions import BadSum, Sum, constant, read_sum
from diagramgen.library.model import (
    ELEMENT_FORMS,
    LUG_KINDS,
    ContactRow,
    ContactTable,
    Control,
    Dimension,
    Drawing,
    Element,
    Figure,
    LugPattern,
    Metal,
    Mounting,
    Symbol,
    TypicalValue,
)
from diagramgen.yamlfile.nodes import MappingNode, Node, ScalarNode, SequenceNode, kind_word
from diagramgen.yamlfile.schema_fields import (
    LENGTH,
    NAME,
    Choice,
    Field,
    Flag,
    FreeText,
    ListOf,
    Located,
    MapOf,
    Number,
    Pattern,
    Record,
    Schema,
    Values,
    scalar,
)

ZERO = constant(0.0)
LUG_NAME = Pattern(r"[a-z0-9/]+(?:[ -][a-z0-9/]+)*", "a lug name", "Words of letters, digits and '/'.")
WORD = Pattern(r"[a-z0-9/]+(?:[ -][a-z0-9/]+)*", "a word", "Letters and digits; blanks and hyphens between.")
DIRECTIONS = {"right": 0.0, "down": math.pi / 2, "left": math.pi, "up": -math.pi / 2}
QUANTITIES = {
    "resistance": units.RESISTANCE,
    "capacitance": units.CAPACITANCE,
    "inductance": units.INDUCTANCE,
    "voltage": units.VOLTAGE,
    "current": units.CURRENT,
    "frequency": units.FREQUENCY,
}


@dataclass(frozen=True)
class SumKind:
    """A sum of numbers and dimension names."""

    def read(self, node: Node, say: Diagnostics) -> Sum | None:
        """Parse the sum."""
        found = scalar(node, say, "a number or a sum of dimensions")
        if found is None:
            return None
        try:
            return read_sum(found.text)
        except BadSum as fault:
            say.add(SYM_101, found.place, str(fault))
            return None

    def schema(self) -> Schema:
        """Number or text."""
        return {"type": ["number", "string"]}


@dataclass(frozen=True)
class PairKind:
    """``[x, y]`` of sums."""

    def read(self, node: Node, say: Diagnostics) -> tuple[Sum, Sum] | None:
        """Parse two sums."""
        if not isinstance(node, SequenceNode) or len(node.items) != 2:
            say.add(SYM_102, node.place, f"expected two sums [x, y], found {kind_word(node)}")
            return None
        x, y = SumKind().read(node.items[0], say), SumKind().read(node.items[1], say)
        return None if x is None or y is None else (x, y)

    def schema(self) -> Schema:
        """Two sums."""
        return {"type": "array", "items": SumKind().schema(), "minItems": 2, "maxItems": 2}


@dataclass(frozen=True)
class LugRows:
    """Lug names in a row, or rows of names; '-' leaves a position empty."""

    def read(self, node: Node, say: Diagnostics) -> tuple[tuple[str, ...], ...] | None:
        """Read one row or several."""
        if isinstance(node, ScalarNode):
            node = SequenceNode((node,), node.place)
        if not isinstance(node, SequenceNode):
            say.add(SYM_103, node.place, f"expected lug names, found {kind_word(node)}")
            return None
        rows = node.items if node.items and isinstance(node.items[0], SequenceNode) else (node,)
        result = []
        for row in rows:
            items = row.items if isinstance(row, SequenceNode) else (row,)
            names = []
            for item in items:
                empty = isinstance(item, ScalarNode) and item.text == "-"
                names.append("" if empty else (LUG_NAME.read(item, say) or ""))
            result.append(tuple(names))
        return tuple(result)

    def schema(self) -> Schema:
        """A name, a row or rows."""
        one = {"type": ["string", "number"]}
        row = {"type": "array", "items": one}
        return {"anyOf": [one, row, {"type": "array", "items": row}]}


@dataclass(frozen=True)
class Direction:
    """down, up, left, right, outward, any, or degrees clockwise from right."""

    def read(self, node: Node, say: Diagnostics) -> float | str | None:
        """Radians, or the word 'outward' or 'any'."""
        found = scalar(node, say, "a direction")
        if found is None:
            return None
        if found.text in ("outward", "any"):
            return found.text
        if found.text in DIRECTIONS:
            return DIRECTIONS[found.text]
        degrees = Number(-360, 360).read(node, say)
        return None if degrees is None else math.radians(degrees)

    def schema(self) -> Schema:
        """A word or degrees."""
        return {"anyOf": [{"enum": [*DIRECTIONS, "outward", "any"]}, {"type": "number"}]}


@dataclass(frozen=True)
class SumList:
    """Points as ``[[x, y], ...]``."""

    def read(self, node: Node, say: Diagnostics) -> tuple[Sum, ...] | None:
        """A flat tuple x, y, x, y."""
        if not isinstance(node, SequenceNode):
            say.add(SYM_102, node.place, f"expected points [[x, y], ...], found {kind_word(node)}")
            return None
        pairs = [PairKind().read(item, say) for item in node.items]
        return None if any(p is None for p in pairs) else tuple(s for p in pairs if p for s in p)

    def schema(self) -> Schema:
        """Pairs."""
        return {"type": "array", "items": PairKind().schema()}


SUM, PAIR = SumKind(), PairKind()

FIGURE = Record("a figure", (
    Field("disc", SUM, "A disc of this diameter."),
    Field("box", PAIR, "A box of this width and height about its centre."),
    Field("polygon", SumList(), "A closed outline through points."),
    Field("line", SumList(), "An open line through points."),
    Field("at", PAIR, "Centre (disc, box) or shift (polygon, line).", default="[0, 0]"),
    Field("corner", SUM, "Corner radius of a box.", default="0", unit="mm"),
    Field("from", SUM, "Where it begins below the mounting surface.", default="0", unit="mm"),
    Field("to", SUM, "Where it ends below the mounting surface.", default="the symbol's depth dimension"),
    Field("draw", Choice(("body", "detail", "hidden", "swing", "cap")), "How it is drawn.", default="body"),
))

LUGS = Record("a lug pattern", (
    Field("row", LugRows(), "Lug names from left to right, solder side, lugs down."),
    Field("grid", LugRows(), "Rows of lug names; '-' leaves a place empty."),
    Field("arc", LugRows(), "Lug names clockwise round a centre."),
    Field("spot", LugRows(), "One spot that takes solder, such as the back of a case."),
    Field("at", PAIR, "Centre of the pattern.", default="[0, 0]"),
    Field("pitch", SUM, "Distance from lug to lug along a row.", unit="mm"),
    Field("row-pitch", SUM, "Distance between the rows of a grid in plan; 0 where they lie behind one another.",
          default="0", unit="mm"),
    Field("turned", Number(-360, 360), "Turn of the pattern, clockwise.", default="0", unit="degrees"),
    Field("radius", SUM, "Radius of an arc.", unit="mm"),
    Field("first", Number(-360, 360), "Direction of an arc's first lug, clockwise from right.", default="0"),
    Field("step", Number(-360, 360), "Angle from lug to lug on an arc.", unit="degrees"),
    Field("depth", SUM, "Depth of the (first) row below the mounting surface.", default="0", unit="mm"),
    Field("depth-pitch", SUM, "How much deeper each further row of a grid lies.", default="0", unit="mm"),
    Field("away", Direction(), "Where a lead leaves: down, up, left, right, outward, any, or degrees.",
          default="any"),
    Field("kind", Choice(LUG_KINDS), "What takes the solder.", default="eyelet; spot for a spot"),
    Field("tongue", PAIR, "Width and length of the tongue from the body to the eyelet."),
    Field("hole", SUM, "Diameter of the eyelet's hole, or of the spot.", default="1.6", unit="mm"),
    Field("takes", Number(1, 20, whole=True), "Wires one lug takes.", default="3"),
))

DIMENSION = Record("a dimension", (
    Field("value", LENGTH, "The measure.", required=True, unit="mm"),
    Field("says", FreeText(), "What is measured, so that the real part can be held against it.", required=True),
    Field("source", FreeText(), "A published source, 'common practice, no source' or 'typical, from memory'.",
          required=True),
))

VALUE = Record("a value", (
    Field("is", Choice((*QUANTITIES, "number", "word")), "The kind of value.", required=True),
    Field("value", FreeText(), "The typical value; left out where there is none."),
    Field("says", FreeText(), "What it is.", required=True),
    Field("source", FreeText(), "Where the typical value comes from.", required=True),
))

MOUNTING = Record("mounting", (
    Field("hole", SUM, "Diameter of the hole in wood or plate.", unit="mm"),
    Field("bushing", SUM, "Diameter of the bushing.", unit="mm"),
    Field("thread", SUM, "Length of the bushing's thread.", unit="mm"),
    Field("washers", SUM, "Thickness of all washers.", unit="mm"),
    Field("nut", SUM, "Thickness of the nut.", unit="mm"),
    Field("shaft", SUM, "Diameter of the shaft.", unit="mm"),
    Field("shaft-length", SUM, "Shaft from the mounting surface to its tip.", unit="mm"),
    Field("slot", PAIR, "Width and height of a slot in the wood or plate.", unit="mm"),
    Field("screws", ListOf(PAIR), "Where screws go through the wood or plate."),
    Field("screw-hole", SUM, "Diameter of the screws' holes.", unit="mm"),
    Field("pin", PAIR, "Where an anti-turn pin meets the wood."),
    Field("pin-hole", SUM, "Diameter of the pin's hole.", unit="mm"),
    Field("side", Choice(("wood", "floor", "none")), "What the part is fixed to: the wood or plate the knob "
          "comes through, the cavity's floor, or nothing.", default="wood"),
))

CONTROL = Record("a control", (
    Field("kind", Choice(("knob", "switch", "plug", "trimmer")), "What the player moves.", required=True),
    Field("positions", ListOf(WORD), "Positions in the order a person steps through them."),
    Field("words", ListOf(FreeText(40)), "The same positions as printed, such as pushed, pulled."),
    Field("momentary", Flag(), "Springs back to its first position.", default="no"),
    Field("detent", FreeText(40), "Where a knob has a detent, such as centre."),
))

ROW = Record("a contact row", (
    Field("at", WORD, "The position."),
    Field("between", ListOf(WORD), "The two positions it passes between (solved only by the rules)."),
    Field("joins", ListOf(ListOf(LUG_NAME, least=2)), "Groups of lugs joined.", required=True),
))

CONTACTS = Record("contacts", (
    Field("rows", ListOf(ROW), "The closure table: one row a position.", required=True),
    Field("moving", Choice(("break before make", "make before break", "unknown")),
          "What the contacts do on the way.", default="unknown"),
    Field("check", FreeText(400), "How to settle it on the real part with a meter."),
))

ELEMENT = Record("an element", (
    Field("is", Choice(tuple(ELEMENT_FORMS)), "The kind of element.", required=True),
    Field("name", NAME, "Its name within the part (coil a, track front).", default="the kind"),
    Field("ends", MapOf(LUG_NAME, WORD), "Which lug each end is on.", required=True),
    Field("values", MapOf(NAME, NAME), "Which value of the symbol each parameter takes."),
    Field("by", NAME, "The control that moves it."),
    Field("says", FreeText(80), "What a player calls it: slug coil, neck side."),
))

METAL = Record("metal", (
    Field("lugs", ListOf(LUG_NAME, single=True), "Lugs that are on it."),
    Field("touchable", Flag(), "A hand can touch it with the instrument closed.", default="no"),
    Field("by nut", Flag(), "The nut or screws join it to a metal plate or foil it is mounted on.", default="no"),
))

DRAWING_FIELDS = (
    Field("body", ListOf(FIGURE), "What fills space: checked for clashes and depth."),
    Field("details", ListOf(FIGURE), "Lines drawn only."),
    Field("keep clear", ListOf(FIGURE), "Space that must stay free (a leaf that swings, a plug)."),
    Field("lugs", ListOf(LUGS), "Patterns from which every lug's place is computed."),
)

SYMBOL = Record("a symbol", (
    Field("symbol", NAME, "The symbol's name; the file has the same name.", required=True),
    Field("kind", FreeText(80), "What it is, as printed.", required=True),
    Field("family", WORD, "The family it is listed under.", required=True),
    Field("about", FreeText(600, lines=True), "What to know about it.", required=True),
    Field("check", FreeText(600, lines=True), "How to check the real part before it is used."),
    Field("dimensions", MapOf(DIMENSION), "Measures with their sources; a build may override each."),
    Field("values", MapOf(VALUE), "Electrical values with their sources; a build may override each."),
    *DRAWING_FIELDS,
    Field("outside", Record("an outside drawing", DRAWING_FIELDS),
          "How it is drawn where it stands outside the cavity (not to scale)."),
    Field("mounting", MOUNTING, "What goes through the wood or plate."),
    Field("controls", MapOf(CONTROL), "What the player moves."),
    Field("contacts", MapOf(CONTACTS), "Closure tables, by control."),
    Field("modes", MapOf(MapOf(WORD), WORD), "Words for combinations of several switches."),
    Field("elements", ListOf(ELEMENT), "Electrical elements between lugs."),
    Field("metal", MapOf(METAL, WORD), "Pieces of metal and what is on them."),
    Field("lug words", MapOf(FreeText(24), LUG_NAME), "What is printed beside a lug, where shorter."),
    Field("heat", Choice(("sensitive", "normal")), "Whether soldering heat can harm it.", default="normal"),
    Field("between lugs", Flag(), "Hung by its own legs between two lugs.", default="no"),
    Field("cable", LENGTH, "Outer diameter of its own cable.", unit="mm"),
))


def read_symbol(node: Node, say: Diagnostics) -> Symbol | None:
    """A ``Symbol`` from the nodes of its file, or None after problems were said."""
    if not isinstance(node, MappingNode):
        say.add(SYM_100, node.place, "a symbol file holds keys and values", "Begin with 'symbol: name'.")
        return None
    if node.get("symbol") is None and any(node.get(key) is not None for key in ("parts", "leads", "format")):
        say.add(SYM_121, node.place, "this file holds a build, not a symbol",
                "Keep builds outside the folder of symbols.")
        return None
    values = SYMBOL.read(node, say)
    if values is None:
        return None
    mounting = values.get("mounting") or Values(node.place, {}, {})
    outside = values.get("outside")
    cable = values.get("cable")
    return Symbol(
        name=values.get("symbol"),
        kind=values.get("kind"),
        family=values.get("family"),
        about=" ".join(values.get("about").split()),
        check=" ".join(values.get("check", "").split()),
        dimensions={k: Dimension(k, g.value.get("value"), g.value.get("says"), g.value.get("source"))
                    for k, g in values.get("dimensions", {}).items()},
        values=_values(values.get("values", {}), say),
        drawing=_drawing(values, say),
        outside=_drawing(outside, say) if outside is not None else None,
        mounting=_mounting(mounting),
        controls=tuple(_control(k, g) for k, g in values.get("controls", {}).items()),
        contacts=tuple(_contacts(k, g) for k, g in values.get("contacts", {}).items()),
        modes={k: {c: p.value for c, p in g.value.items()} for k, g in values.get("modes", {}).items()},
        elements=tuple(_element(g.value) for g in values.get("elements", ())),
        metal=tuple(_metal(k, g.value) for k, g in values.get("metal", {}).items()),
        lug_words={k: g.value for k, g in values.get("lug words", {}).items()},
        heat_sensitive=values.get("heat") == "sensitive",
        between_lugs=bool(values.get("between lugs", False)),
        cable_diameter=cable,
        place=node.place,
    )


def _values(given: dict[str, Located[Values]], say: Diagnostics) -> dict[str, TypicalValue]:
    result = {}
    for name, g in given.items():
        quantity, text = g.value.get("is"), g.value.get("value")
        value: float | str | None = text
        if text is not None and quantity != "word":
            try:
                value = (units.read_number(text) if quantity == "number"
                         else units.read_quantity(text, QUANTITIES[quantity]))
            except units.BadValue as fault:
                say.add(SYM_104, g.value.at("value"), str(fault), fault.remedy)
                value = None
        result[name] = TypicalValue(name, quantity, value, g.value.get("says"), g.value.get("source"))
    return result


def _drawing(values: Values, say: Diagnostics) -> Drawing:
    def figures(key: str) -> tuple[Figure, ...]:
        found = (_figure(g.value, key, say) for g in values.get(key, ()))
        return tuple(f for f in found if f)

    patterns = (_pattern(g.value, say) for g in values.get("lugs", ()))
    return Drawing(figures("body"), figures("details"), figures("keep clear"), tuple(p for p in patterns if p))


def _figure(v: Values, group: str, say: Diagnostics) -> Figure | None:
    forms = [f for f in ("disc", "box", "polygon", "line") if v.has(f)]
    if len(forms) != 1:
        say.add(SYM_105, v.place, "a figure is exactly one of disc, box, polygon, line")
        return None
    given: Any = v.get(forms[0])
    sizes = (given,) if forms[0] == "disc" else tuple(given)
    least = {"polygon": 3, "line": 2}.get(forms[0], 0)
    if len(sizes) < 2 * least:
        say.add(SYM_105, v.at(forms[0]), f"a {forms[0]} needs at least {least} points", "Write each as [x, y].")
        return None
    draw = v.get("draw", {"body": "body", "keep clear": "swing"}.get(group, "detail"))
    return Figure(forms[0], sizes, v.get("at", (ZERO, ZERO)), v.get("corner", ZERO), v.get("from", ZERO),
                  v.get("to", v.get("from", ZERO)), draw)


def _pattern(v: Values, say: Diagnostics) -> LugPattern | None:
    forms = [f for f in ("row", "grid", "arc", "spot") if v.has(f)]
    if len(forms) != 1:
        say.add(SYM_106, v.place, "a lug pattern is exactly one of row, grid, arc, spot")
        return None
    form = forms[0]
    away = v.get("away", "any")
    return LugPattern(
        form=form,
        names=v.get(form),
        at=v.get("at", (ZERO, ZERO)),
        pitch=(v.get("pitch", ZERO), v.get("row-pitch", ZERO)),
        turned=math.radians(v.get("turned", 0.0)),
        radius=v.get("radius", ZERO),
        first=math.radians(v.get("first", 0.0)),
        step=math.radians(v.get("step", 0.0)),
        depth=v.get("depth", ZERO),
        depth_pitch=v.get("depth-pitch", ZERO),
        away=None if isinstance(away, str) else away,
        outward=away == "outward",
        kind=v.get("kind", "spot" if form == "spot" else "eyelet"),
        tongue=v.get("tongue"),
        hole=v.get("hole", constant(1.6)),
        takes=int(v.get("takes", 6 if form == "spot" else 3)),
    )


def _mounting(v: Values) -> Mounting:
    return Mounting(
        hole=v.get("hole", ZERO), bushing=v.get("bushing", ZERO), thread=v.get("thread", ZERO),
        washers=v.get("washers", ZERO), nut=v.get("nut", ZERO), shaft=v.get("shaft", ZERO),
        shaft_length=v.get("shaft-length", ZERO), slot=v.get("slot"),
        screws=tuple(g.value for g in v.get("screws", ())), screw_hole=v.get("screw-hole", ZERO),
        pin=v.get("pin"), pin_hole=v.get("pin-hole", ZERO),
        side=v.get("side", "wood" if v.keys() else "none"),
    )


def _control(name: str, g: Located[Values]) -> Control:
    positions = tuple(p.value for p in g.value.get("positions", ()))
    words = tuple(w.value for w in g.value.get("words", ()))
    return Control(name, g.value.get("kind"), positions, words or positions,
                   bool(g.value.get("momentary", False)), g.value.get("detent", ""))


def _contacts(control: str, g: Located[Values]) -> ContactTable:
    rows = []
    for row in g.value.get("rows"):
        pair = tuple(p.value for p in row.value.get("between", ()))
        joins = tuple(tuple(n.value for n in j.value) for j in row.value.get("joins", ()))
        rows.append(ContactRow(row.value.get("at", ""), (pair[0], pair[1]) if len(pair) == 2 else None, joins))
    return ContactTable(control, tuple(rows), g.value.get("moving", "unknown"), g.value.get("check", ""))


def _element(v: Values) -> Element:
    kind = v.get("is")
    return Element(kind, v.get("name", kind), {k: g.value for k, g in v.get("ends").items()},
                   {k: g.value for k, g in v.get("values", {}).items()}, v.get("by", ""), v.get("says", ""))


def _metal(name: str, v: Values) -> Metal:
    return Metal(name, tuple(g.value for g in v.get("lugs", ())), bool(v.get("touchable", False)),
                 bool(v.get("by nut", False)))
