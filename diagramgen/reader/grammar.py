"""The small words of a build file: ends, colours, tags, gauges, angles, places.

Each ``Kind`` reads one of them from a node and says its faults in the technician's words; ``*_text``
functions write them back.

    name   = letter *( letter / digit / "-" )          case folded, not ending in "-"
    lug    = word *( (" " / "-") word )                word = letters, digits, "/"
    end    = "unknown" / "parked" / name "." lug       split at the first dot
    colour = code [ "/" code ] / word [ "/" word ]     base first, stripe second
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from diagramgen.kernel import colours, units
from diagramgen.kernel.colours import LeadColour, parse_colour
from diagramgen.kernel.diagnostics import Diagnostics, nearest
from diagramgen.kernel.folding import folded
from diagramgen.kernel.geometry import Point
from diagramgen.model.build import PARKED, UNKNOWN, End
from diagramgen.reader.lead_codes import INP_201, INP_202, INP_203, INP_204
from diagramgen.yamlfile.codes import INP_105, INP_106, INP_107
from diagramgen.yamlfile.nodes import Node, ScalarNode, SequenceNode, kind_word
from diagramgen.yamlfile.schema_fields import NAME_PATTERN, OFFSET, Number, Schema, scalar

RESERVED = frozenset({UNKNOWN, PARKED, "when", "sounds", "hum", "phase", "silent", "end"})
"""Words that are no names of parts, because they mean something of their own."""
LUG_PATTERN = r"[a-z0-9/]+(?:[ .-][a-z0-9/]+)*"
TAG_PATTERN = r"[A-Z][A-Z0-9]{0,5}"
_FAKE_ARROWS = ("-->", "=>", "→", "⟶", "⇒", "—>", "–>", "<-", "←")


@dataclass(frozen=True)
class Raw:
    """A one-line text kept with its place, for values whose meaning depends on the symbol."""

    def read(self, node: Node, say: Diagnostics) -> ScalarNode | None:
        """The scalar itself."""
        return scalar(node, say, "a value")

    def schema(self) -> Schema:
        """A text or number."""
        return {"type": ["string", "number", "boolean"]}


@dataclass(frozen=True)
class EndKind:
    """An end of a lead: ``part.lug``, ``unknown`` or ``parked``."""

    def read(self, node: Node, say: Diagnostics) -> End | None:
        """Read one end."""
        found = scalar(node, say, "an end: part.lug, unknown or parked")
        if found is None:
            return None
        text = folded(found.text)
        place = found.place
        if text in (UNKNOWN, PARKED):
            return End(text, "", place)
        fault, remedy = _end_fault(text)
        if fault:
            say.add(INP_201, place, fault.format(found.text), remedy)
            return None
        part, _, lug = text.partition(".")
        return End(part.strip(), lug.strip().replace(".", " "), place)

    def schema(self) -> Schema:
        """A text with one dot or a reserved word."""
        return {"type": "string", "pattern": r"^\s*([uU]nknown|[pP]arked|[^.,:#>]+\.[^,:#>]+)\s*$"}


def _end_fault(text: str) -> tuple[str, str]:
    if "?" in text:
        return "'{}' holds a question mark", "Where the other end is not known yet, write the word unknown."
    if any(c in text for c in ":#"):
        return ("'{}' holds a colon or a hash, which no lead line may hold",
                "Write part.lug with a dot; put remarks into 'note ...'.")
    if "." not in text:
        return "'{}' names no lug", "Write part.lug with a dot between, such as volume.wiper."
    part, _, lug = text.partition(".")
    if not re.fullmatch(NAME_PATTERN, part.strip()):
        return ("'{}' does not begin with the name of a part",
                "A name is letters, digits and hyphens: neck-volume.wiper.")
    if not re.fullmatch(LUG_PATTERN, lug.strip()):
        return ("'{}' does not end with the name of a lug",
                "A lug is words of letters and digits after the dot: neck.a start.")
    return "", ""


@dataclass(frozen=True)
class ColourKind:
    """The colour of a lead: a word or an IEC 60757 code, with a stripe after a slash."""

    def read(self, node: Node, say: Diagnostics) -> LeadColour | None:
        """Read a colour."""
        found = scalar(node, say, "a colour such as red, RD or white/black")
        if found is None:
            return None
        try:
            return parse_colour(found.text)
        except ValueError as fault:
            word = re.split(r"[/ +-]", found.text.strip().lower())[0]
            say.add(INP_202, found.place, str(fault).replace("“", "'").replace("”", "'"),
                    nearest(word, colours.names()))
            return None

    def schema(self) -> Schema:
        """A word."""
        words = sorted({*colours.names(), *(code.lower() for code in colours.WORDS)}, key=lambda n: (-len(n), n))
        one = "|".join("".join(f"[{c}{c.upper()}]" if c.isalpha() else c for c in word) for word in words)
        between = "( *[/+-] *| +with +| +and +| +)"
        return {"type": "string", "pattern": f"^ *({one})({between}?({one}))?( +[sS]triped?)? *$"}


def read_colour(text: str) -> LeadColour | None:
    """The colour, or None where the text is none."""
    try:
        return parse_colour(text)
    except ValueError:
        return None


@dataclass(frozen=True)
class TagKind:
    """The tag of a lead: a letter, then up to five letters or digits; capitals."""

    def read(self, node: Node, say: Diagnostics) -> str | None:
        """Read a tag."""
        found = scalar(node, say, "a tag such as W07")
        if found is None:
            return None
        tag = found.text.strip().upper()
        if re.fullmatch(TAG_PATTERN, tag):
            return tag
        say.add(INP_203, found.place, f"'{found.text}' is no tag")
        return None

    def schema(self) -> Schema:
        """A text with the pattern."""
        return {"type": "string", "pattern": r"^\s*[A-Za-z][A-Za-z0-9]{0,5}\s*$"}


@dataclass(frozen=True)
class GaugeKind:
    """A wire gauge in AWG, with or without the letters."""

    def read(self, node: Node, say: Diagnostics) -> int | None:
        """Read a gauge from 10 to 44 AWG."""
        found = scalar(node, say, "a gauge such as 22 AWG")
        if found is None:
            return None
        match = re.fullmatch(r"(?:awg\s*)?(\d{1,2})(?:\s*awg)?", found.text.strip().lower())
        if match and 10 <= int(match[1]) <= 44:
            return int(match[1])
        say.add(INP_204, found.place, f"'{found.text}' is no wire gauge from 10 to 44 AWG")
        return None

    def schema(self) -> Schema:
        """A whole number, or a text with AWG."""
        pattern = r"^\s*([aA][wW][gG]\s*)?[0-9]{1,2}(\s*[aA][wW][gG])?\s*$"
        return {"anyOf": [{"type": "integer", "minimum": 10, "maximum": 44}, {"type": "string", "pattern": pattern}]}


@dataclass(frozen=True)
class AngleKind:
    """Degrees clockwise as seen; read into radians."""

    def read(self, node: Node, say: Diagnostics) -> float | None:
        """Read an angle of -360 to 360 degrees."""
        if isinstance(node, ScalarNode):
            text = re.sub(r"\s*(°|deg|degrees)\s*$", "", node.text)
            node = ScalarNode(text, node.place, node.quoted)
        degrees = Number(-360, 360).read(node, say)
        return None if degrees is None else math.radians(degrees)

    def schema(self) -> Schema:
        """A number or a text with a degree sign."""
        return Number(-360, 360).schema()


@dataclass(frozen=True)
class PlaceKind:
    """A place in mm: ``[x, y]``, or ``x y`` where it stands in a line."""

    def read(self, node: Node, say: Diagnostics) -> Point | None:
        """Read two lengths."""
        if isinstance(node, SequenceNode):
            parts: list[Node] = list(node.items)
        elif isinstance(node, ScalarNode):
            words = node.text.replace(",", " , ").split()
            parts = [ScalarNode(w, node.place) for w in words if w != ","]
            if words.count(",") > 1 or ("," in words and len(parts) != 2):
                parts = []
        else:
            parts = []
        if len(parts) != 2:
            found = kind_word(node) + (f" of {len(parts)}" if isinstance(node, SequenceNode) else "")
            comma = "," in node.text if isinstance(node, ScalarNode) else len(parts) in (3, 4)
            remedy = "Is a decimal comma in it? Write a point: [34.5, 24]." if comma else "Write [x, y] in millimetres."
            if isinstance(node, ScalarNode) and len(parts) == 1:
                remedy = f"Both numbers are needed, with a blank and no comma between them in a line: {node.text} 24."
            say.add(INP_107, node.place, f"expected two numbers [x, y], found {found}", remedy)
            return None
        x, y = OFFSET.read(parts[0], say), OFFSET.read(parts[1], say)
        if x is None or y is None:
            return None
        if max(abs(x), abs(y)) > 2000:
            say.add(INP_106, node.place, "this place lies more than 2 m away", "Places are in millimetres.")
            return None
        return Point(x, y)

    def schema(self) -> Schema:
        """Two numbers."""
        one = {"type": ["number", "string"]}
        return {"anyOf": [{"type": "array", "items": one, "minItems": 2, "maxItems": 2},
                          {"type": "string", "pattern": r"^\s*[^, ]+\s*[, ]\s*[^, ]+\s*$"}]}


@dataclass(frozen=True)
class ViaKind:
    """Where a lead is led past: a place ``x y``, or the name of a channel."""

    def read(self, node: Node, say: Diagnostics) -> Point | str | None:
        """Read a place or a name."""
        if isinstance(node, ScalarNode):
            text = folded(node.text)
            if re.fullmatch(NAME_PATTERN, text):
                return text
        return PlaceKind().read(node, say)

    def schema(self) -> Schema:
        """A name or two numbers."""
        return {"anyOf": [{"type": "string"}, *PlaceKind().schema()["anyOf"][:1]]}


@dataclass(frozen=True)
class LongLength:
    """A length of cable with its unit, in mm, up to 100 m."""

    def read(self, node: Node, say: Diagnostics) -> float | None:
        """Read metres, feet or millimetres; a bare number is refused, since it might be any."""
        found = scalar(node, say, "a length such as 6 m or 20 ft")
        if found is None:
            return None
        match = re.fullmatch(r"(\d+(?:\.\d*)?|\.\d+)\s*(m|ft|feet|cm|mm)", found.text.strip().lower())
        if not match:
            say.add(INP_105, found.place, f"'{found.text}' is no cable length with its unit", "Write it like 6 m.")
            return None
        value = float(match[1]) * {"m": 1000.0, "cm": 10.0, "mm": 1.0}.get(match[2], 304.8)
        if not 0 < value <= 100_000:
            say.add(INP_105, found.place, f"'{found.text}' is an absurd cable length", "Expected up to 100 m.")
            return None
        return value

    def schema(self) -> Schema:
        """A text."""
        return {"type": "string", "pattern": r"^\s*[0-9.]+\s*([mM]|[fF][tT]|[fF]eet|[cC][mM]|[mM][mM])\s*$"}


@dataclass(frozen=True)
class PerMetre:
    """Capacitance of a cable per metre, in F."""

    def read(self, node: Node, say: Diagnostics) -> float | None:
        """Read ``100 pF``, ``100 pF/m`` or ``100 pF per metre``."""
        found = scalar(node, say, "a capacitance per metre such as 100 pF/m")
        if found is None:
            return None
        text = re.sub(r"\s*(/|per)\s*(m|metre|meter)\s*$", "", found.text.strip())
        try:
            value = units.read_quantity(text, units.CAPACITANCE)
        except units.BadValue as fault:
            say.add(INP_105, found.place, str(fault), fault.remedy)
            return None
        if not 1e-12 <= value <= 5e-9:
            say.add(INP_105, found.place, f"'{found.text}' is an absurd capacitance for a metre of cable",
                    "Instrument cable has about 100 pF/m; expected 1 pF to 5 nF.")
            return None
        return value

    def schema(self) -> Schema:
        """A text."""
        return {"type": "string"}


def fake_arrow(text: str) -> str:
    """An arrow of another shape in the text, or ''."""
    return next((a for a in _FAKE_ARROWS if a in text), "")
