"""The field tables of a build file: every key, what it means, its unit and its default.

The reader, the JSON Schema and the format reference are all made from these tables.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from diagramgen.kernel import units
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.folding import folded
from diagramgen.kernel.paper import PRINTED
from diagramgen.model.coil_expression import NOTATION_KEY
from diagramgen.reader.codes import INP_112, INP_113
from diagramgen.reader.grammar import (
    RESERVED,
    ColourKind,
    EndKind,
    GaugeKind,
    LongLength,
    PerMetre,
    PlaceKind,
    TagKind,
)
from diagramgen.reader.lead_codes import INP_221, INP_222
from diagramgen.reader.leads import LeadKind
from diagramgen.reader.one_line import too_long
from diagramgen.reader.parts import PART, PartKind
from diagramgen.reader.position_keys import BesideControls
from diagramgen.yamlfile.codes import INP_101
from diagramgen.yamlfile.nodes import MappingNode, Node, ScalarNode, SequenceNode, kind_word
from diagramgen.yamlfile.schema_fields import (
    LENGTH,
    NAME,
    NAME_PATTERN,
    OFFSET,
    Choice,
    Field,
    Flag,
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

FORMAT = 1
"""The version of the format this program reads and writes."""

FILE = Pattern(r"[^\0]{1,200}", "a file name", "The name of a file beside the build file.", fold=False)
CONTROL = Pattern(rf"{NAME_PATTERN}(?:\.[a-z0-9/]+(?:[ -][a-z0-9/]+)*)?", "a control",
                  "The name of a part, or part.control where the part has several: volume.pull.")


@dataclass(frozen=True)
class PolygonKind:
    """``[[x, y], ...]`` in mm, at least three points."""

    def read(self, node: Node, say: Diagnostics) -> tuple[Any, ...] | None:
        """Read the corners."""
        if (isinstance(node, SequenceNode) and len(node.items) >= 4
                and all(isinstance(i, ScalarNode) for i in node.items)):
            say.add(INP_112, node.place, "the corners of a polygon need brackets of their own",
                    "Write [[0, 0], [80, 0], [80, 40]].")
            return None
        read = ListOf(PlaceKind(), least=3).read(node, say)
        if read is None or not isinstance(node, SequenceNode) or len(read) != len(node.items):
            return None
        return tuple(g.value for g in read)

    def schema(self) -> Schema:
        """Three or more pairs."""
        one = PlaceKind().schema()["anyOf"][0]
        return {"type": "array", "items": one, "minItems": 3}


SHAPE = Record("a shape", (
    Field("rounded", PlaceKind(), "Width and height of a rectangle.", unit="mm"),
    Field("corner", Measured(units.LENGTH, allow_zero=True), "Corner radius of 'rounded'.", unit="mm", default="0"),
    Field("polygon", PolygonKind(), "Corners in order: [[x, y], [x, y], ...].", unit="mm"),
    Field("path", FreeText(20_000, lines=True), "The outline as SVG path data in mm: M, L, H, V, C, S, Q, T, A, Z."),
    Field("svg", FILE, "An SVG file beside the build file that holds the outline."),
    Field("id", FreeText(60), "Which element of the SVG file is the outline.", default="its first shape"),
    Field("width", LENGTH, "Width of the SVG outline in the instrument; sets its scale.", unit="mm"),
    Field("scale", Number(1e-4, 1e4), "In place of width: mm for one unit of the SVG file.", unit="mm"),
))


SHAPES = ("rounded", "polygon", "path", "svg")
"""The keys of ``SHAPE`` that say what the outline is, one of which is given."""


@dataclass(frozen=True)
class ShapeKind:
    """The outline of a cavity, as data."""

    def read(self, node: Node, say: Diagnostics) -> Values | None:
        """Read exactly one kind of shape."""
        if isinstance(node, ScalarNode) and node.text.strip():
            say.add(INP_112, node.place, f"a shape is written as data, not as '{node.text}'")
            return None
        values = SHAPE.read(node, say)
        if values is None:
            return None
        kinds = [k for k in SHAPES if k in _keys_of(node)]
        if len(kinds) != 1:
            found = " and ".join(kinds) or "none"
            say.add(INP_112, node.place, f"a shape is exactly one of {', '.join(SHAPES)}; found {found}")
            return None
        owners = {"corner": "rounded", "id": "svg", "width": "svg", "scale": "svg"}
        for key, owner in owners.items():
            if values.has(key) and owner != kinds[0]:
                say.add(INP_112, values.at(key), f"'{key}' belongs to '{owner}', not to '{kinds[0]}'", "Delete it.")
        if kinds[0] == "svg" and values.has("svg") and values.has("width") == values.has("scale"):
            say.add(INP_112, values.at("svg"), "an SVG outline needs its size: exactly one of width and scale",
                    "Measure the cavity and write width: 124.")
            return None
        return values if values.has(kinds[0]) else None

    def schema(self) -> Schema:
        """An object with one of the kinds."""
        kinds = [{"required": [k]} for k in SHAPES]
        return {**SHAPE.schema(), "oneOf": kinds}


def _keys_of(node: Node) -> set[str]:
    return {key.text.lower() for key, _ in node.entries} if isinstance(node, MappingNode) else set()


POST = Record("a post", (
    Field("at", PlaceKind(), "Its centre.", required=True, unit="mm"),
    Field("diameter", LENGTH, "Its diameter.", required=True, unit="mm"),
))
PLATE = Record("a plate", (
    Field("hinge", Choice(("left", "right", "top", "bottom", "none"), {"lifts off": "none"}),
          "The side it hinges on when opened; leads that cross it get more length.", default="none"),
    Field("metal", Flag(), "A metal plate joins the cases of the parts on it by their nuts.", default="no"),
    Field("thickness", LENGTH, "Its thickness.", unit="mm", default="2"),
))
CAVITY_FIELDS = (
    Field("shape", ShapeKind(), "Its outline. Left out: holes in the top without a cavity."),
    Field("opened from", Choice(("rear", "front", "side", "none")), "The side it is opened from.", default="rear"),
    Field("depth", LENGTH, "Clear depth, cover off.", unit="mm"),
    Field("wood above", LENGTH, "Wood (or plate) a bushing passes.", unit="mm"),
    Field("posts", ListOf(POST), "Screw posts and other wood left standing."),
    Field("plate", PLATE, "The plate that carries the controls."),
    Field("cover", Measured(units.LENGTH, allow_zero=True), "What the cover and its foil take from the depth.",
          unit="mm", default="0"),
    Field("opening", LENGTH, "Clear width of the opening the harness is fished through.", unit="mm"),
    Field("at", PlaceKind(), "Where this cavity lies in the instrument.", unit="mm", default="placed by the program"),
    Field("says", FreeText(40), "What the shop calls it.", default="its name"),
)


@dataclass(frozen=True)
class CavityKind:
    """A cavity, with a sentence for a shape that a comma inside braces tore apart."""

    def read(self, node: Node, say: Diagnostics) -> Values | None:
        """Read one cavity."""
        if isinstance(node, MappingNode):
            torn = [k for k, v in node.entries
                    if k.text.lower().startswith("corner ") and isinstance(v, ScalarNode) and not v.text]
            for key in torn:
                say.add(INP_112, key.place, f"'{key.text}' is taken as a key: inside braces a comma ends an entry")
            if torn:
                node = MappingNode(tuple(e for e in node.entries if e[0] not in torn), node.place)
        return CAVITY.read(node, say)

    def schema(self) -> Schema:
        """An object."""
        return CAVITY.schema()


CAVITY = Record("a cavity", CAVITY_FIELDS)

CHANNEL = Record("a channel", (
    Field("in", NAME, "The cavity it leads from.", default="the only cavity"),
    Field("at", PlaceKind(), "Its mouth in that cavity.", required=True, unit="mm"),
    Field("to", NAME, "The cavity it leads to.", default="the outside"),
    Field("far", PlaceKind(), "Its mouth in the cavity it leads to.", unit="mm"),
    Field("diameter", LENGTH, "Its diameter.", unit="mm", default="8"),
    Field("length", LENGTH, "Its length.", unit="mm"),
))

CABLE = Record("a cable", (
    Field("diameter", LENGTH, "Outer diameter of the jacket.", required=True, unit="mm"),
    Field("colours", ListOf(ColourKind(), single=True), "Colours of its conductors."),
    Field("shielded", Flag(), "It has a braid or foil of its own.", default="no"),
    Field("shield to", ListOf(EndKind(), single=True), "Where the shield is soldered."),
))


@dataclass(frozen=True)
class EndNames:
    """Names of a group's ends: a list, or names with their meaning."""

    def read(self, node: Node, say: Diagnostics) -> dict[str, Located[str]] | None:
        """Name -> meaning."""
        if isinstance(node, MappingNode):
            return MapOf(FreeText(120)).read(node, say)
        if isinstance(node, ScalarNode) and node.text.strip():
            node = SequenceNode((node,), node.place)
        if not isinstance(node, SequenceNode):
            say.add(INP_101, node.place, f"expected the names of the ends, found {kind_word(node)}")
            return None
        read = [(NAME.read(item, say), item.place) for item in node.items]
        return {name: Located("", place) for name, place in read if name is not None}

    def schema(self) -> Schema:
        """A list of names or names with texts."""
        name = {"type": "string", "pattern": rf"^{NAME_PATTERN.replace('a-z', 'a-zA-Z')}$"}
        return {"anyOf": [{"type": "array", "items": name}, name, MapOf(FreeText(120)).schema()]}


GROUP = Record("a group", (
    Field("about", FreeText(400, lines=True), "What it is for."),
    Field("ends", EndNames(), "What is joined where it is placed; a lead inside says end.NAME."),
    Field("gives", MapOf(EndKind()), "Names by which other lines may use lugs inside it: {out: pot.wiper}."),
    Field("parts", MapOf(PART), "Its parts; places count from the group's own place.", required=True),
    Field("leads", ListOf(LeadKind()), "Its leads."),
))

WANTED_FIELDS = (
    Field("when", MapOf(FreeText(40), CONTROL), "Positions: control -> position."),
    Field("at", CONTROL, "The output it is heard at, where there are several: a jack (its tip), or jack.ring.",
          default="the tip of the first jack"),
    Field("sounds", FreeText(200), f"What sounds: coils and signs ({NOTATION_KEY}), such as "
          "neck.a + neck.b; or silent. A tapped winding is named by its part, start to tap by part.inner."),
    Field("phase", Choice(("in", "out", "mixed", "single", "silent", "unknown")), "In or out of phase."),
    Field("hum", Choice(("cancels", "most", "partly", "full", "silent", "unknown")), "What the hum does: cancels "
          "where turns, wire gauge or metered inductances show it; most where coils meant alike take it away."),
)
WANTED = BesideControls(Record("a wanted state", WANTED_FIELDS))

LOAD = Record("the load", (
    Field("cable", LongLength(), "Length of the player's cable, with its unit.", default="5 m"),
    Field("cable capacitance", PerMetre(), "Its capacitance per metre.", default="100 pF/m"),
    Field("amplifier", Measured(units.RESISTANCE), "Input resistance of the amplifier.", default="1M"),
))
WIRE = Record("the hook-up wire", (
    Field("gauge", GaugeKind(), "Gauge of hook-up wire.", unit="AWG", default="24"),
    Field("diameter", LENGTH, "Outer diameter over the insulation.", unit="mm",
          default="typical for the gauge and kind"),
    Field("slack", Measured(units.LENGTH, allow_zero=True), "Service slack added to every wire.", unit="mm",
          default="15"),
    Field("kind", Choice(("pvc", "ptfe", "cloth")), "Its covering.", default="pvc"),
))


PHOTOGRAPH = Record("a photograph", (
    Field("file", FILE, "A JPEG or PNG beside the build file.", required=True),
    Field("says", FreeText(100), "What it shows.", default="its file name"),
))
SENTENCES = ListOf(FreeText(240), single=True)
WORK_RECORD = Record("the customer's record", (
    Field("asked", FreeText(400, lines=True), "What the player asked for, in the player's words."),
    Field("done", SENTENCES, "What was done, a sentence each."),
    Field("why", FreeText(400, lines=True), "Why it was done so."),
    Field("fitted", SENTENCES, "Parts fitted, in words.", default="the parts that go in by the changes from as found"),
    Field("handed back", SENTENCES, "Parts given back.", default="the parts that come out by those changes"),
    Field("undo", SENTENCES, "How to undo the work, in words.", default="said from those changes"),
    Field("next technician", SENTENCES, "What whoever opens it next should know."),
    Field("care", SENTENCES, "Care beyond the usual lines."),
    Field("battery", FreeText(60), "When the battery went in.", default="what the results file says"),
    Field("warranty", FreeText(240), "The shop's promise, as printed."),
    Field("done by", FreeText(60), "Who signs for it.", default="what the results file says"),
    Field("photographs", ListOf(PHOTOGRAPH, single=True), "Photographs on the record."),
))


@dataclass(frozen=True)
class PartName:
    """The name of a part: not one of the reserved words."""

    def read(self, node: Node, say: Diagnostics) -> str | None:
        """Read the name."""
        name = NAME.read(node, say)
        if name in RESERVED:
            say.add(INP_113, node.place, f"'{name}' has a meaning of its own and cannot name a part")
            return None
        return name

    def schema(self) -> Schema:
        """A name."""
        return NAME.schema()


@dataclass(frozen=True)
class LeadList:
    """The leads, one a line."""

    def read(self, node: Node, say: Diagnostics) -> tuple[Located[Values], ...] | None:
        """Read every lead; lines that ran into one text get a sentence of their own."""
        if isinstance(node, ScalarNode) and not node.text.strip():
            return ()
        if isinstance(node, ScalarNode):
            say.add(INP_221, node.place, "the leads are not a list",
                    "Start every lead with '- ', a hyphen and a blank, each on a line of its own.")
            return None
        if isinstance(node, MappingNode):
            say.add(INP_221, node.place, "the leads are not a list but keys",
                    "Start every lead with '- ' and use no colon in it: - volume.wiper -> output.tip, red.")
            return None
        return ListOf(LeadKind()).read(node, say)

    def schema(self) -> Schema:
        """An array."""
        return {"type": ["array", "null"], "items": LeadKind().schema()}


@dataclass(frozen=True)
class LugKey:
    """``part.lug`` as a key."""

    def read(self, node: Node, say: Diagnostics) -> str | None:
        """The end as text."""
        end = EndKind().read(node, say)
        if end is not None and not end.known:
            say.add(INP_222, node.place, f"'{folded(end.part)}' is no lug", "Lug-by-lug entries begin with part.lug.")
            return None
        return None if end is None else str(end)

    def schema(self) -> Schema:
        """A text with a dot."""
        return {"type": "string", "pattern": r"^[^.,:#>]+\.[^,:#>]+$"}


@dataclass(frozen=True)
class LugWords:
    """What is found on one lug: comma words, or a list of them."""

    def read(self, node: Node, say: Diagnostics) -> tuple[ScalarNode, ...] | None:
        """Each word with its place."""
        items = node.items if isinstance(node, SequenceNode) else (node,)
        words: list[ScalarNode] = []
        for item in items:
            if not isinstance(item, ScalarNode) or not item.text.strip():
                say.add(INP_222, item.place, f"expected what is on this lug, found {kind_word(item)}",
                        "Write selector.common: red, capacitor, white to volume.ten.")
                continue
            if too_long(item, say):
                continue
            at = 0
            for piece in item.text.split(","):
                if piece.strip():
                    words.append(ScalarNode(piece.strip(), item.place_at(at + len(piece) - len(piece.lstrip()))))
                at += len(piece) + 1
        return tuple(words)

    def schema(self) -> Schema:
        """A text or a list of texts."""
        return {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}]}


@dataclass(frozen=True)
class LeadOut:
    """A lead to take out: its tag, or the line it stands in."""

    def read(self, node: Node, say: Diagnostics) -> Values | str | None:
        """Read a tag or two ends."""
        if isinstance(node, ScalarNode) and "->" not in node.text and node.text.strip():
            return TagKind().read(node, say)
        return LeadKind().read(node, say)

    def schema(self) -> Schema:
        """A tag, a line or keys."""
        return {"anyOf": [TagKind().schema(), LeadKind().schema()]}


TAKE_OUT = Record("what is taken out", (
    Field("parts", ListOf(NAME, single=True), "Parts, or groups, by name; the leads on them go with them."),
    Field("leads", ListOf(LeadOut(), single=True), "Leads, by their tag in the base or as END -> END."),
))
PUT_IN = Record("what is put in", (
    Field("parts", MapOf(PartKind(), PartName()), "Parts by name; one of a name that is there takes its place."),
    Field("leads", LeadList(), "Leads, one a line; a lead that is moved is taken out and put in with its colour."),
    Field("cables", MapOf(CABLE), "Cables by name."),
    Field("channels", MapOf(CHANNEL), "Channels drilled anew, by name."),
))
CHANGE_FIELDS = (
    Field("changes to", FILE, "The build file this one changes; all that is not said here stays as it is there."),
    Field("take out", TAKE_OUT, "Only with 'changes to': what comes out."),
    Field("put in", PUT_IN, "Only with 'changes to': what goes in."),
)
CHANGES = Record("a file of changes", CHANGE_FIELDS)

TOP = Record("a build", (
    Field("format", Number(1, 999, whole=True), "Version of this format.", default=str(FORMAT)),
    *CHANGE_FIELDS,
    Field("as found", FILE, "The build file of the same instrument before the work; the sheets of changes begin "
          "from it.", default="the build under 'changes to'"),
    Field("title", FreeText(120), "What is wired, as printed on every sheet."),
    Field("job", FreeText(40), "The shop's job number."),
    Field("instrument", FreeText(120), "The instrument in words."),
    Field("customer", FreeText(80), "Whose it is."),
    Field("reference", FreeText(60), "The customer's own number or word for the job."),
    Field("prices", FILE, "The shop's price file (docs/prices.md), for the command 'price' alone: no other sheet shows "
          "a price."),
    Field("workshop", FreeText(80), "The shop, as printed in the title line."),
    Field("drawn by", FreeText(60), "Who entered it."),
    Field("date", FreeText(40), "Date as printed; never filled in by the program."),
    Field("revision", FreeText(20), "Revision as printed."),
    Field("note", FreeText(400, lines=True), "A remark for the papers."),
    Field("hand", Choice(("right", "left"), {"right-handed": "right", "left-handed": "left"}),
          "The instrument's hand.", default="right"),
    Field("plan made for", Choice(("right", "left"), {"right-handed": "right", "left-handed": "left"}),
          "The hand the places in this file were measured for. The other hand mirrors places, never the parts.",
          default="the same as hand"),
    Field("seen from", Choice(("solder side", "player's side")), "The side the places were measured from.",
          default="solder side"),
    Field("neck", Choice(("left", "right", "up", "down")),
          "Where the neck is, seen on the solder side of this instrument."),
    Field("paper", Choice(PRINTED), "Paper of the sheets.", default="a4"),
    Field("cavity", CavityKind(), "The only cavity, where there is one; its name is 'cavity'."),
    Field("cavities", MapOf(CavityKind()), "The cavities by name, where there are several."),
    Field("channels", MapOf(CHANNEL), "Drilled passages by name."),
    Field("parts", MapOf(PartKind(), PartName()), "The parts by name."),
    Field("leads", LeadList(), "The leads, one a line."),
    Field("lugs", MapOf(LugWords(), LugKey()), "As found, lug by lug: a colour, 'COLOUR to part.lug', "
          "the name of a component whose leg is there, or 'bent to part.lug'."),
    Field("cables", MapOf(CABLE), "Cables of several conductors that are no part's own, by name."),
    Field("groups", MapOf(GROUP), "Groups of parts and leads written once and placed under 'parts'."),
    Field("wanted", ListOf(WANTED), "What the positions shall give; held against the solved circuit."),
    Field("moves together", ListOf(ListOf(CONTROL, least=2)), "Controls that move as one: [[neck.pull, bridge.pull]]."),
    Field("record", WORK_RECORD, "What the customer's record says; only the sheet of that name prints it."),
    Field("results", FILE, "The file of readings metered on this instrument, beside the build."),
    Field("load", LOAD, "What is plugged in."),
    Field("wire", WIRE, "The hook-up wire used where a lead says nothing."),
))

__all__ = ["CABLE", "CAVITY", "CHANGES", "CHANNEL", "GROUP", "LOAD", "OFFSET", "PHOTOGRAPH", "PLATE", "POST", "PUT_IN",
           "SHAPE", "SHAPES", "TAKE_OUT", "TOP", "WANTED", "WIRE", "WORK_RECORD"]
