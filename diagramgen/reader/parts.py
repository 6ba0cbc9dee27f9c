"""Parts: a symbol placed in a build, in one line or as keys; or a group of parts placed at once.

``volume: pot-24, 500k log, at 34 24, turned 15, in controls`` is the same as the keys ``symbol``,
``value``, ``at``, ``turned``, ``in``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from diagramgen.kernel.colours import LeadColour
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.folding import folded
from diagramgen.kernel.units import LENGTH as LENGTH_QUANTITY
from diagramgen.reader.codes import INP_111
from diagramgen.reader.grammar import LUG_PATTERN, AngleKind, ColourKind, EndKind, PlaceKind, Raw, read_colour
from diagramgen.reader.lead_codes import INP_202, INP_206, INP_219, INP_220
from diagramgen.reader.metered_values import MeteredKind
from diagramgen.reader.one_line import keyed, pieces, read_remarks, too_long
from diagramgen.reader.taper_table import ValueOrTable
from diagramgen.yamlfile.nodes import MappingNode, Node, ScalarNode, SequenceNode
from diagramgen.yamlfile.schema_fields import (
    LENGTH,
    NAME,
    Field,
    FreeText,
    Located,
    MapOf,
    Measured,
    Pattern,
    Record,
    Schema,
    Values,
)

LUG = Pattern(LUG_PATTERN, "the name of a lug", "A lug is words of letters and digits, such as a start.")
VALUE_NAME = Pattern(r"[a-z0-9]+(?:[ -][a-z0-9]+)*", "the name of a value or dimension",
                     "Letters and digits with hyphens, such as track or lug-pitch.")


@dataclass(frozen=True)
class ColoursKind:
    """Colours of a part's own conductors: ``{start: black, finish: white}`` or ``start black, finish white``."""

    def read(self, node: Node, say: Diagnostics) -> dict[str, Located[LeadColour]] | None:
        """Lug name -> colour, each at the place of its key."""
        if isinstance(node, ScalarNode) and node.text.strip():
            return self._line(node, say)
        if isinstance(node, MappingNode):
            node = MappingNode(tuple(pair for pair in node.entries if not self._glued(pair, say)), node.place)
        return MapOf(ColourKind(), LUG).read(node, say)

    def _glued(self, pair: tuple[ScalarNode, Node], say: Diagnostics) -> bool:
        key, value = pair
        if ":" not in key.text or not isinstance(value, ScalarNode) or value.text:
            return False
        lug, _, colour = key.text.partition(":")
        say.add(INP_111, key.place, f"'{key.text}' lacks a blank after its colon", f"Write '{lug}: {colour}'.")
        return True

    def _line(self, line: ScalarNode, say: Diagnostics) -> dict[str, Located[LeadColour]]:
        result: dict[str, Located[LeadColour]] = {}
        if too_long(line, say):
            return result
        for piece in pieces(line):
            words = piece.text.split()
            splits = ((folded(" ".join(words[:i])), read_colour(" ".join(words[i:]))) for i in range(1, len(words)))
            lug, colour = next(((lug, c) for lug, c in splits if c is not None), ("", None))
            if colour is None:
                say.add(INP_202, piece.place, f"'{piece.text}' is no lug with its colour",
                        "Write the lug, then the colour: start black, finish white.")
            elif lug in result:
                say.add(INP_206, piece.place, f"'{lug}' is given two colours", "Keep one of the two.")
            else:
                result[lug] = Located(colour, piece.place)
        return result

    def schema(self) -> Schema:
        """Names to colours, or a line."""
        return {"anyOf": [MapOf(ColourKind(), LUG).schema(), {"type": "string"}]}


@dataclass(frozen=True)
class BetweenKind:
    """Two ends: ``[volume.ten, volume.wiper]``, or ``volume.ten and volume.wiper`` in a line."""

    def read(self, node: Node, say: Diagnostics) -> tuple[Any, ...] | None:
        """Read two ends."""
        items: tuple[Node, ...] = node.items if isinstance(node, SequenceNode) else ()
        if isinstance(node, ScalarNode):
            words = node.text.replace(",", " and ").split(" and ")
            items = tuple(ScalarNode(w.strip(), node.place) for w in words)
        if len(items) != 2:
            say.add(INP_219, node.place, f"a component hangs between two lugs; {len(items)} are given")
            return None
        ends = tuple(EndKind().read(item, say) for item in items)
        return None if None in ends else ends

    def schema(self) -> Schema:
        """Two ends."""
        return {"anyOf": [{"type": "array", "items": EndKind().schema(), "minItems": 2, "maxItems": 2},
                          {"type": "string", "pattern": r"^[^,]+\.[^,]+( and |,)[^,]+\.[^,]+$"}]}


@dataclass(frozen=True)
class ValueKind:
    """The short text of a part's values; several pieces of a line may hold it together."""

    def read(self, node: Node, say: Diagnostics) -> tuple[ScalarNode, ...] | None:
        """The text as one piece."""
        found = Raw().read(node, say)
        return None if found is None else (found,)

    def schema(self) -> Schema:
        """A text or number."""
        return Raw().schema()


_PLACING = (
    Field("at", PlaceKind(), "Place of its mounting point in the cavity's plan.", unit="mm",
          default="placed by the program"),
    Field("turned", AngleKind(), "Turn, clockwise as seen, 0 with the lugs down.", unit="degrees", default="0"),
    Field("in", NAME, "The cavity it is mounted in.", default="the only cavity, for a part with a place"),
)
_THROUGH = Field("through", NAME, "The channel its leads come through, for a part outside the cavities.")
_KEYS = (
    *_PLACING,
    _THROUGH,
    Field("between", BetweenKind(), "The two lugs a component hangs between by its own legs."),
    Field("mounted on", NAME, "A plate or shield part its metal sits on."),
    Field("wood above", LENGTH, "Wood at this very hole.", unit="mm", default="that of the cavity"),
    Field("cable length", LENGTH, "Length of the part's own cable or leads.", unit="mm"),
    Field("knob bore", LENGTH, "Bore of the knob it takes.", unit="mm"),
    Field("metered", MeteredKind(), "When the values given were metered on this very part (a date, or yes): all of "
          "them, or by name {resistance: 3 May}.", default="its values are those of its sheet or marking"),
    Field("says", FreeText(40), "What the shop or the player calls it.", default="its name"),
    Field("note", FreeText(200), "A remark printed in the papers."),
    Field("meant", FreeText(120), "In words, what is meant where a knob, switch or component on purpose does not do "
          "what its kind is for ('only a little quieter at 0'); what would be said of that is then not said."),
)
PART_FIELDS = (
    Field("symbol", NAME, "The kind of part; 'diagramgen symbols' lists them.", required=True),
    Field("value", ValueKind(), "Its values in the symbol's order, such as '500k log 10%': value, law, per cent of the "
          "track at half turn."),
    Field("values", MapOf(ValueOrTable(), VALUE_NAME), "Values by the names the symbol gives them; a law may be a "
          "table of points, turn and fraction of the track.",
          default="typical values, printed as assumed"),
    Field("dimensions", MapOf(Measured(LENGTH_QUANTITY, allow_zero=True), VALUE_NAME),
          "Measures of the real part by the names the symbol gives them.", unit="mm", default="typical measures"),
    Field("colours", ColoursKind(), "Colours of its own cable's conductors, by lug, as its sheet says."),
    *_KEYS,
)
LINE_KEYS = _KEYS


def _short(line: ScalarNode, say: Diagnostics) -> Values | None:
    if too_long(line, say):
        return None
    first, *rest = pieces(line)
    symbol = NAME.read(first, say)
    start = Values(line.place, {"symbol": symbol}, {"symbol": first.place})
    found = read_remarks(rest, LINE_KEYS, lambda piece: ("value", (piece,)), start, say)
    return None if symbol is None else found


PART = Record("a part", PART_FIELDS, short=_short,
              short_doc="SYMBOL, its value, then remarks parted by commas: pot-24, 500k log, at 34 24.",
              short_pattern=r"^\s*[A-Za-z][A-Za-z0-9-]*\s*(,.*)?$")

GROUP_FIELDS = (
    Field("group", NAME, "The group placed: one under 'groups', or a ready one.", required=True),
    *_PLACING,
    _THROUGH,
    Field("values", MapOf(Raw()), "Values of its parts by their names in the group: {pot: 500k log, cap: 22n}."),
)
GROUP_PART = Record("a placed group", GROUP_FIELDS)
GROUP_ENDS = "ends"


@dataclass(frozen=True)
class PartKind:
    """A part or a placed group, in one line or as keys."""

    def read(self, node: Node, say: Diagnostics) -> Values | None:
        """Read one entry of ``parts``."""
        if isinstance(node, ScalarNode) and folded(node.text).startswith("group "):
            return _group_line(node, say)
        if isinstance(node, MappingNode) and node.get("group") is not None:
            return _group_keys(node, say)
        return PART.read(node, say)

    def schema(self) -> Schema:
        """A line, the keys of a part, or those of a placed group."""
        text, keys = PART.schema()["anyOf"]
        text = {**text, "pattern": r"^\s*([Gg]roup +)?[A-Za-z][A-Za-z0-9-]*\s*(,.*)?$"}
        group = GROUP_PART.schema()
        group = {**group, "additionalProperties": EndKind().schema()}
        return {"anyOf": [text, keys, group]}


def _group_keys(node: MappingNode, say: Diagnostics) -> Values | None:
    known = {f.key for f in GROUP_FIELDS}
    own = MappingNode(tuple(e for e in node.entries if e[0].text.lower() in known), node.place)
    read = GROUP_PART.read(own, say)
    ends: dict[str, Located[Any]] = {}
    for key, value in node.entries:
        if key.text.lower() in known:
            continue
        name, end = NAME.read(key, say), EndKind().read(value, say)
        if name is not None and end is not None:
            ends[name] = Located(end, key.place)
    return None if read is None else read.plus({GROUP_ENDS: ends})


def _group_line(line: ScalarNode, say: Diagnostics) -> Values | None:
    if too_long(line, say):
        return None
    first, *rest = pieces(line)
    found = keyed(first, GROUP_FIELDS[:1])
    name = NAME.read(found[1], say) if found else None
    ends: dict[str, Located[Any]] = {}

    def loose(piece: ScalarNode) -> tuple[str, Any] | None:
        word, _, end_text = piece.text.partition(" ")
        if not end_text:
            say.add(INP_220, piece.place, f"'{piece.text}' is no end of the group with the lug it goes to")
            return None
        key = NAME.read(ScalarNode(word, piece.place), say)
        end = EndKind().read(ScalarNode(end_text.strip(), piece.place_at(len(piece.text) - len(end_text))), say)
        if key is not None and end is not None:
            if key in ends:
                say.add(INP_206, piece.place, f"'{key}' is said twice on this line", "Keep one of the two.")
            ends[key] = Located(end, piece.place)
        return None

    start = Values(line.place, {"group": name}, {"group": first.place})
    values = read_remarks(rest, (*_PLACING, _THROUGH), loose, start, say)
    return None if name is None else values.plus({GROUP_ENDS: ends})
