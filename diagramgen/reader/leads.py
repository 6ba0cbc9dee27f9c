"""Lead lines: ``volume.wiper -> output.tip, red, via 40 12``, and the same as keys.

    lead = end "->" end *( "," mark )       exactly one arrow; split at commas first; no quotes needed

One table of fields (``LEAD``) reads both forms.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from diagramgen.kernel import colours
from diagramgen.kernel.diagnostics import Diagnostics, nearest
from diagramgen.kernel.folding import folded
from diagramgen.model.build import LEAD_KINDS
from diagramgen.reader.grammar import ColourKind, EndKind, GaugeKind, TagKind, ViaKind, fake_arrow, read_colour
from diagramgen.reader.lead_codes import (
    INP_208,
    INP_209,
    INP_210,
    INP_211,
    INP_212,
    INP_213,
    INP_214,
    INP_215,
    INP_216,
    INP_217,
    INP_218,
)
from diagramgen.reader.one_line import LONGEST, pieces, read_remarks, too_long
from diagramgen.yamlfile.codes import INP_110
from diagramgen.yamlfile.nodes import MappingNode, Node, ScalarNode, SequenceNode
from diagramgen.yamlfile.schema_fields import (
    LENGTH,
    NAME,
    Choice,
    Field,
    Flag,
    FreeText,
    ListOf,
    Record,
    Schema,
    Values,
)

KIND_WORDS = {
    "wire": "hook-up wire, or the conductor of a part's own cable",
    "shielded": "wire with a braid of its own",
    "bare": "bare bus wire",
    "leg": "the component's own leg",
    "bend": "the lug itself, bent over to its own case",
    "sleeved": "two conductors joined in the air under a sleeve",
    "bridge": "solder from lug to lug",
}
ARROW = "->"
LINE_PATTERN = r"^\s*[^,:#>]*[^,:#> -][^,:#>]*->[^,:#>]*[^,:#> ][^,:#>]*(,[^:#>]*)*$"

MARKS: tuple[Field, ...] = (
    Field("colour", ColourKind(), "Colour of the insulation: a word or an IEC 60757 code; a stripe after a slash. "
          "In a line the colour stands alone."),
    Field("kind", Choice(LEAD_KINDS), "What joins the two ends: " + "; ".join(f"{k} = {v}" for k, v in
          KIND_WORDS.items()) + ". In a line the word stands alone.", default="wire"),
    Field("tag", TagKind(), "The tag printed at both ends; kept as it is when lines are put in or taken out.",
          default="W01, W02, ... in the order of the file (J01, ... for what needs no wire)"),
    Field("gauge", GaugeKind(), "Wire gauge.", unit="AWG", default="the gauge under wire"),
    Field("od", LENGTH, "Outer diameter over the insulation.", unit="mm", default="the diameter under wire"),
    Field("length", LENGTH, "Cut length, in place of the one worked out.", unit="mm"),
    Field("cloth", Flag(), "Cloth-covered wire: the covering is pushed back, not stripped.", default="no"),
    Field("via", ListOf(ViaKind(), single=True), "A place 'x y' it is led past, or a channel it passes; "
          "may be said several times."),
    Field("along wall", Flag(), "Laid along the wall of the cavity.", default="no"),
    Field("over", ListOf(NAME, single=True), "A part it is laid over."),
    Field("under", ListOf(NAME, single=True), "A part it is laid under."),
    Field("apart from", ListOf(TagKind(), single=True), "The tag of a lead it keeps away from."),
    Field("twisted with", TagKind(), "The tag of the lead it is twisted with."),
    Field("cable", NAME, "The cable under 'cables' it is a conductor of."),
    Field("shield to", ListOf(EndKind(), single=True), "Where its own braid is soldered; may be said twice."),
    Field("shield cut", Flag(), "Its braid is cut off and insulated at the other end, on purpose.", default="no"),
    Field("reused", Flag(), "Found in the instrument and kept.", default="no"),
    Field("note", FreeText(120), "A remark printed in the lead list."),
)
"""What may be said of a lead, in a line or as keys."""

_LINE_MARKS = tuple(f for f in MARKS if f.key not in ("colour", "kind"))


def _one_or_other(values: Values, say: Diagnostics) -> bool:
    if values.has("bus"):
        for key in ("from", "to"):
            if values.has(key):
                say.add(INP_208, values.at(key), f"a lead has either 'bus' or '{key}', not both")
                return False
        return True
    for key in ("from", "to"):
        if not values.has(key):
            # Neither it nor a bus was written at all; what was written and is faulty was said already.
            if values.place == values.at(key) == values.at("bus"):
                say.add(INP_110, values.place, f"a lead lacks '{key}'", "Where it starts and where it goes.")
            return False
    return True


def _short(line: ScalarNode, say: Diagnostics) -> Values | None:
    return read_lead_line(line, say)


LEAD = Record("a lead", (
    Field("from", EndKind(), "The lug it starts at: part.lug, or unknown, or parked (capped, in the air)."),
    Field("to", EndKind(), "The lug it goes to."),
    Field("bus", ListOf(EndKind(), least=2), "In place of from and to: every lug one bare wire passes, in order."),
    *MARKS,
), short=_short, short_doc="END -> END, then remarks parted by commas.", short_pattern=LINE_PATTERN,
    check=_one_or_other)


@dataclass(frozen=True)
class LeadKind:
    """A lead as a line or as keys, with a sentence of its own for each slip YAML does not see."""

    def read(self, node: Node, say: Diagnostics) -> Values | None:
        """Read one lead."""
        if isinstance(node, MappingNode) and _is_broken_line(node, say):
            return None
        if isinstance(node, SequenceNode):
            say.add(INP_209, node.place, "a list stands where a lead is expected")
            return None
        return LEAD.read(node, say)

    def schema(self) -> Schema:
        """A line or keys."""
        return LEAD.schema()


def _is_broken_line(node: MappingNode, say: Diagnostics) -> bool:
    """Whether a lead line became keys because of a colon or a question mark in it."""
    for key, _ in node.entries:
        if key.text.startswith(ARROW):
            say.add(INP_210, key.place, "a question mark stands where an end is expected",
                    "Where the other end is not known yet, write: unknown -> part.lug.")
            return True
        if ARROW in key.text:
            say.add(INP_210, key.place, f"a colon breaks this lead line after '{key.text}'",
                    "No colon in a lead line: write 'note keep long' or leave it out. Is a line break missing?")
            return True
    return False


def read_lead_line(line: ScalarNode, say: Diagnostics) -> Values | None:
    """The values of one lead line, or None after its faults were said."""
    found = _line_values(line, say)
    return found if found is not None and found.has("from") and found.has("to") else None


def _line_values(line: ScalarNode, say: Diagnostics) -> Values | None:
    """What can be read of one lead line; None where it is none at all."""
    if too_long(line, say) or not _one_arrow(line, say):
        return None
    first, *rest = pieces(line)
    if ARROW not in first.text:
        say.add(INP_213, line.place, f"this lead line begins with '{first.text}', not with its two ends")
        return None
    head, tail = first.text.split(ARROW)
    values: dict[str, Any] = {}
    for key, text, offset in (("from", head, 0), ("to", tail, len(head) + len(ARROW))):
        stripped = text.strip()
        place = first.place_at(offset + len(text) - len(text.lstrip()))
        if not stripped:
            say.add(INP_214, first.place, "this lead goes nowhere" if key == "to" else "this lead comes from nowhere")
            continue
        values[key] = EndKind().read(ScalarNode(stripped, place), say)
    start = Values(line.place, {k: v for k, v in values.items() if v}, {k: v.place for k, v in values.items() if v})
    return read_remarks(rest, _LINE_MARKS, lambda piece: _loose(piece, say), start, say)


def legible(node: Node) -> tuple[Values, str]:
    """What can be read of a lead that as a whole cannot, and the lead as it is written; its faults are said."""
    aside = Diagnostics()
    if isinstance(node, ScalarNode):
        found = _line_values(node, aside)
        if found is None:
            empty = Values(node.place, {}, {})
            if too_long(node, aside):
                return empty, node.text[:LONGEST].strip()
            found = read_remarks(pieces(node), _LINE_MARKS, lambda piece: _loose(piece, aside), empty, aside)
        return found, node.text.strip()
    if not isinstance(node, MappingNode):
        return Values(node.place, {}, {}), "a list"
    broken = next(((k, v) for k, v in node.entries if ARROW in k.text), None)
    if broken is not None:
        key, rest = broken
        return legible(ScalarNode(f"{key.text}: {rest.text}" if isinstance(rest, ScalarNode) else key.text, key.place))
    texts = [" ".join(t for t in (k.text, v.text if isinstance(v, ScalarNode) else "") if t) for k, v in node.entries]
    values: dict[str, Any] = {}
    for field in LEAD.fields:
        written = node.get(field.key)
        value = None if written is None else field.kind.read(written, aside)
        if value is not None:
            values[field.key] = value
    return Values(node.place, values, {}), ", ".join(texts)


def _one_arrow(line: ScalarNode, say: Diagnostics) -> bool:
    text, place = line.text, line.place
    count = text.count(ARROW)
    other = fake_arrow(text)
    if other and (count == 0 or other == "-->"):
        say.add(INP_212, place, f"'{other}' is not the arrow of a lead line")
    elif count == 0 and (folded(text).split(" ")[0] in {f.key for f in MARKS} or _only_marks(text)):
        say.add(INP_211, place, f"'{text}' is a remark, but no lead stands before it",
                "Inside [ ] a comma ends a lead: write one lead a line, each starting with '- '.")
    elif count == 0 and ">" in text:
        say.add(INP_212, place, "'>' is not the arrow of a lead line")
    elif count == 0:
        say.add(INP_211, place, f"'{text}' has no arrow", "Write part.lug -> part.lug, one lead a line.")
    elif count > 1:
        say.add(INP_215, place, f"this lead line has {count} arrows")
    elif ":" in text or "#" in text:
        say.add(INP_216, place, "a colon or a hash stands in this lead line")
    else:
        return True
    return False


def _only_marks(text: str) -> bool:
    return folded(text) in LEAD_KINDS or read_colour(text) is not None


def _loose(piece: ScalarNode, say: Diagnostics) -> tuple[str, Any] | None:
    """A remark without a key: a kind or a colour."""
    text = folded(piece.text)
    if text in LEAD_KINDS:
        return "kind", text
    colour = read_colour(piece.text)
    if colour is not None:
        return "colour", colour
    if text.replace(".", "", 1).removesuffix("mm").removesuffix("awg").strip().isdigit():
        say.add(INP_217, piece.place, f"'{piece.text}' may be a gauge, a length or a diameter")
        return None
    first = text.split(" ")[0]
    known = [*(f.key for f in _LINE_MARKS), *LEAD_KINDS, *(n for n in colours.names() if len(n) > 2)]
    say.add(INP_218, piece.place, f"'{piece.text}' is neither a colour nor a remark known here",
            nearest(text if text in known or " " not in text else first, known))
    return None
