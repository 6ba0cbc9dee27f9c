"""Field tables: one description of a key serves the reader, the JSON Schema and the format reference.

A ``FieldType`` turns a node into a value and says its faults; a ``Record`` is a table of ``Field`` rows. What
a record read is a ``Values``: the values by key, each with the place it came from.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, Protocol, TypeVar

from diagramgen.kernel import units
from diagramgen.kernel.diagnostics import Diagnostics, Location, nearest
from diagramgen.kernel.geometry import Point
from diagramgen.yamlfile.codes import (
    INP_101,
    INP_102,
    INP_103,
    INP_104,
    INP_105,
    INP_106,
    INP_107,
    INP_108,
    INP_109,
    INP_110,
)
from diagramgen.yamlfile.nodes import MappingNode, Node, ScalarNode, SequenceNode, kind_word

T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)
Schema = dict[str, Any]


class FieldType(Protocol[T_co]):
    """How a node is read: a value, or None after a problem was said."""

    def read(self, node: Node, say: Diagnostics) -> T_co | None:
        """Read a node; problems go to ``say``."""

    def schema(self) -> Schema:
        """The JSON Schema of what is accepted."""


@dataclass(frozen=True)
class Located(Generic[T]):
    """A value with the place it was written at."""

    value: T
    place: Location


def scalar(node: Node, say: Diagnostics, what: str) -> ScalarNode | None:
    """The node as a scalar, or a problem that says what was expected."""
    if isinstance(node, ScalarNode) and node.text.strip():
        return node
    say.add(INP_101, node.place, f"expected {what}, found {kind_word(node)}")
    return None


@dataclass(frozen=True)
class FreeText:
    """Any text of at most ``limit`` characters on one line (or several, where ``lines``)."""

    limit: int = 200
    lines: bool = False

    def read(self, node: Node, say: Diagnostics) -> str | None:
        """Read a text."""
        found = scalar(node, say, "a text")
        if found is None:
            return None
        text = found.text.strip()
        if len(text) > self.limit:
            say.add(INP_102, found.place, f"this text has {len(text)} characters; {self.limit} fit",
                    "Shorten it.")
            return None
        if any(ord(c) < 32 and not (self.lines and c == "\n") for c in text):
            say.add(INP_102, found.place, "this text holds a line break or control character",
                    "Write it on one line.")
            return None
        return text

    def schema(self) -> Schema:
        """A string (numbers are taken as texts too)."""
        return {"type": ["string", "number", "boolean"]}


@dataclass(frozen=True)
class Choice:
    """One of a few words; ``also`` maps other spellings to them."""

    words: tuple[str, ...]
    also: Mapping[str, str] = field(default_factory=dict)

    def read(self, node: Node, say: Diagnostics) -> str | None:
        """Read one of the words."""
        found = scalar(node, say, "one of: " + ", ".join(self.words))
        if found is None:
            return None
        word = " ".join(found.text.lower().split())
        word = self.also.get(word, word)
        if word in self.words:
            return word
        say.add(INP_103, found.place, f"'{found.text}' is not one of: {', '.join(self.words)}",
                nearest(word, [*self.words, *self.also]))
        return None

    def schema(self) -> Schema:
        """An enumeration."""
        return {"enum": [*self.words, *self.also]}


@dataclass(frozen=True)
class Pattern:
    """A word that matches a pattern; ``what`` and ``hint`` explain it."""

    pattern: str
    what: str
    hint: str = ""
    fold: bool = True

    def read(self, node: Node, say: Diagnostics) -> str | None:
        """Read a word of the pattern."""
        found = scalar(node, say, self.what)
        if found is None:
            return None
        text = " ".join(found.text.split())
        text = text.lower() if self.fold else text
        if re.fullmatch(self.pattern, text):
            return text
        say.add(INP_104, found.place, f"'{found.text}' is not {self.what}", self.hint)
        return None

    def schema(self) -> Schema:
        """A string with the pattern."""
        flags = "" if not self.fold else "A-Z"
        pattern = self.pattern.replace("a-z", "a-z" + flags)
        return {"type": ["string", "number"], "pattern": f"^{pattern}$"}


NAME_PATTERN = r"[a-z](?:[a-z0-9-]*[a-z0-9])?"
NAME = Pattern(NAME_PATTERN, "a name", "A name is letters, digits and hyphens, starting with a letter: neck-volume.")


@dataclass(frozen=True)
class Flag:
    """Yes or no."""

    def read(self, node: Node, say: Diagnostics) -> bool | None:
        """Read yes or no."""
        word = Choice(("yes", "no"), {"true": "yes", "false": "no"}).read(node, say)
        return None if word is None else word == "yes"

    def schema(self) -> Schema:
        """Yes or no, or a JSON boolean (editors type bare yes and no as booleans)."""
        return {"enum": ["yes", "no", "true", "false", True, False]}


@dataclass(frozen=True)
class Measured:
    """A value with a unit: length in mm or an electrical quantity in SI units."""

    kind: units.Quantity
    allow_zero: bool = False
    allow_negative: bool = False

    def read(self, node: Node, say: Diagnostics) -> float | None:
        """Read the value."""
        found = scalar(node, say, f"a {self.kind.name} like {self.kind.example}")
        if found is None:
            return None
        try:
            if self.kind is units.LENGTH:
                return units.read_length(found.text, self.allow_zero, self.allow_negative)
            return units.read_quantity(found.text, self.kind, self.allow_zero)
        except units.BadValue as fault:
            say.add(INP_105, found.place, str(fault), fault.remedy)
            return None

    def schema(self) -> Schema:
        """A number or a text."""
        return {"type": ["number", "string"], "description": f"{self.kind.name}, e.g. {self.kind.example}"}


LENGTH = Measured(units.LENGTH)
OFFSET = Measured(units.LENGTH, allow_zero=True, allow_negative=True)


@dataclass(frozen=True)
class Number:
    """A plain number within limits."""

    low: float = -1e6
    high: float = 1e6
    whole: bool = False

    def read(self, node: Node, say: Diagnostics) -> float | None:
        """Read a number."""
        found = scalar(node, say, "a number")
        if found is None:
            return None
        try:
            value = units.read_number(found.text)
        except units.BadValue as fault:
            say.add(INP_105, found.place, str(fault), fault.remedy)
            return None
        if not self.low <= value <= self.high or (self.whole and value != int(value)):
            kind = "a whole number" if self.whole else "a number"
            say.add(INP_106, found.place, f"'{found.text}' is not {kind} from {units.number(self.low, 3)} "
                    f"to {units.number(self.high, 3)}")
            return None
        return value

    def schema(self) -> Schema:
        """A number with limits; a text is left to the reader."""
        return {"anyOf": [{"type": "integer" if self.whole else "number", "minimum": self.low,
                           "maximum": self.high}, {"type": "string"}]}


@dataclass(frozen=True)
class PointKind:
    """``[x, y]`` in mm, or ``x, y`` on one line."""

    def read(self, node: Node, say: Diagnostics) -> Point | None:
        """Read two lengths."""
        parts = list(node.items) if isinstance(node, SequenceNode) else None
        if isinstance(node, ScalarNode):
            parts = [ScalarNode(t.strip(), node.place) for t in node.text.split(",")]
        if parts is None or len(parts) != 2:
            hint = "Write [x, y] in millimetres."
            if parts is not None and len(parts) in (3, 4):
                hint = "Is a decimal comma in it? Write a point: [34.5, 24]."
            say.add(INP_107, node.place, f"expected two numbers [x, y], found {kind_word(node)}"
                    + (f" of {len(parts)}" if parts is not None else ""), hint)
            return None
        x, y = OFFSET.read(parts[0], say), OFFSET.read(parts[1], say)
        return None if x is None or y is None else Point(x, y)

    def schema(self) -> Schema:
        """Two numbers."""
        one = {"type": ["number", "string"]}
        return {"anyOf": [{"type": "array", "items": one, "minItems": 2, "maxItems": 2},
                          {"type": "string", "pattern": "^[^,]+,[^,]+$"}]}


@dataclass(frozen=True)
class ListOf(Generic[T]):
    """A list; a single value is taken as a list of one where ``single``."""

    kind: FieldType[T]
    least: int = 0
    single: bool = False

    def read(self, node: Node, say: Diagnostics) -> tuple[Located[T], ...] | None:
        """Read every item; faulty items are said and left out."""
        if self.single and not isinstance(node, SequenceNode):
            node = SequenceNode((node,), node.place)
        if not isinstance(node, SequenceNode):
            say.add(INP_101, node.place, f"expected a list, found {kind_word(node)}",
                    "Write each entry on a line of its own, starting with '- '.")
            return None
        read = [(self.kind.read(item, say), item.place) for item in node.items]
        kept = tuple(Located(value, place) for value, place in read if value is not None)
        if len(node.items) < self.least:
            say.add(INP_108, node.place, f"needs at least {self.least} entries, has {len(node.items)}")
            return None
        return kept

    def schema(self) -> Schema:
        """An array."""
        array: Schema = {"type": "array", "items": self.kind.schema()}
        if self.least:
            array["minItems"] = self.least
        return {"anyOf": [array, self.kind.schema()]} if self.single else array


@dataclass(frozen=True)
class MapOf(Generic[T]):
    """Names to values, in the order of the file."""

    kind: FieldType[T]
    key: FieldType[str] = NAME

    def read(self, node: Node, say: Diagnostics) -> dict[str, Located[T]] | None:
        """Read every entry; faulty ones are said and left out. The place is that of the key."""
        if isinstance(node, ScalarNode) and not node.text.strip():
            return {}
        if not isinstance(node, MappingNode):
            say.add(INP_101, node.place, f"expected names with values, found {kind_word(node)}",
                    "Write 'name: value' lines.")
            return None
        result: dict[str, Located[T]] = {}
        for key_node, value_node in node.entries:
            key = self.key.read(key_node, say)
            value = self.kind.read(value_node, say)
            if key is not None and value is not None:
                result[key] = Located(value, key_node.place)
        return result

    def schema(self) -> Schema:
        """An object with patterned keys."""
        schema: Schema = {"type": ["object", "null"], "additionalProperties": self.kind.schema()}
        names = self.key.schema()
        if "pattern" in names:
            schema["propertyNames"] = {"pattern": names["pattern"]}
        return schema


@dataclass(frozen=True)
class Field:
    """One key of a record: how it is read, what it means, its unit and default as printed in the docs."""

    key: str
    kind: FieldType[Any]
    doc: str
    required: bool = False
    default: str = ""
    unit: str = ""


class Values:
    """What a record read: values by key, the place of each key, and the place of the record."""

    def __init__(self, place: Location, values: dict[str, Any], places: dict[str, Location]):
        self.place, self._values, self._places = place, values, places

    def get(self, key: str, default: Any = None) -> Any:
        """The value of a key, or the default where it was not given."""
        return self._values.get(key, default)

    def has(self, key: str) -> bool:
        """Whether the key was given (and could be read)."""
        return key in self._values

    def at(self, key: str) -> Location:
        """The place of the key, or of the record where it was not given."""
        return self._places.get(key, self.place)

    def keys(self) -> tuple[str, ...]:
        """Keys given, in the order of the file."""
        return tuple(self._values)

    def places(self) -> dict[str, Location]:
        """The place of every key given."""
        return {key: self.at(key) for key in self._values}

    def plus(self, values: Mapping[str, Any], places: Mapping[str, Location] | None = None) -> Values:
        """These values with others added or laid over them."""
        return Values(self.place, {**self._values, **values}, {**self._places, **(places or {})})


@dataclass(frozen=True)
class Record:
    """A table of fields. ``short`` reads a one-line form into the same values."""

    name: str
    fields: tuple[Field, ...]
    short: Callable[[ScalarNode, Diagnostics], Values | None] | None = None
    short_doc: str = ""
    short_pattern: str = ""
    check: Callable[[Values, Diagnostics], bool] | None = None

    def read(self, node: Node, say: Diagnostics) -> Values | None:
        """Read all keys; an unknown or missing key is a problem with the nearest valid name."""
        if isinstance(node, ScalarNode) and self.short and node.text.strip():
            return self.short(node, say)
        if isinstance(node, ScalarNode) and not node.text.strip():
            node = MappingNode((), node.place)
        if not isinstance(node, MappingNode):
            say.add(INP_101, node.place, f"expected the keys of {self.name}, found {kind_word(node)}",
                    "Keys here: " + ", ".join(f.key for f in self.fields) + ".")
            return None
        known = {f.key: f for f in self.fields}
        values: dict[str, Any] = {}
        places: dict[str, Location] = {}
        for key_node, value_node in node.entries:
            key = key_node.text.lower()
            places[key] = key_node.place
            if key not in known:
                self._unknown(key_node, known, value_node, say)
            else:
                value = known[key].kind.read(value_node, say)
                if value is not None:
                    values[key] = value
        missing = [f.key for f in self.fields if f.required and f.key not in places]
        for key in missing:
            say.add(INP_110, node.place, f"{self.name} lacks '{key}'", known[key].doc)
        result = Values(node.place, values, places)
        usable = not any(f.required and f.key not in values for f in self.fields)
        if usable and self.check and not self.check(result, say):
            return None
        return result if usable else None

    def _unknown(self, key: ScalarNode, known: Mapping[str, Field], value: Node, say: Diagnostics) -> None:
        hint = nearest(key.text, known)
        if re.fullmatch(r"\d+[a-zA-Z]{0,2}", key.text) and isinstance(value, ScalarNode) and not value.text:
            hint = "Is there a decimal comma in the value before it? Write a point."
        for name in known:
            if key.text.lower().startswith(name) and key.text[len(name):][:1] in (":", "=") and not (
                isinstance(value, ScalarNode) and value.text
            ):
                hint = f"Put a blank after the colon: '{name}: {key.text[len(name) + 1:].strip()}'."
        say.add(INP_109, key.place, f"{self.name} has no key '{key.text}'", hint)

    def schema(self) -> Schema:
        """An object; with the one-line form beside it where there is one."""
        properties = {}
        for f in self.fields:
            described = dict(f.kind.schema())
            unit = f" Unit: {f.unit}." if f.unit else ""
            default = f" Default: {f.default}." if f.default else ""
            described["description"] = f.doc + unit + default
            properties[f.key] = described
        schema: Schema = {"type": "object", "title": self.name, "properties": properties,
                          "additionalProperties": False}
        required = [f.key for f in self.fields if f.required]
        if required:
            schema["required"] = required
        if not self.short:
            return schema
        text: Schema = {"type": "string", "description": self.short_doc}
        if self.short_pattern:
            text["pattern"] = self.short_pattern
        return {"anyOf": [text, schema]}
