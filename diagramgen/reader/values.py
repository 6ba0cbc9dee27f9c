"""Values of a part: the short text ``500k log 10%`` and the named ``values``, held against the symbol."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagramgen.kernel import units
from diagramgen.kernel.diagnostics import Diagnostics, Location, nearest
from diagramgen.kernel.folding import folded
from diagramgen.library.model import ELEMENT_FORMS, Symbol, TypicalValue
from diagramgen.library.reader import QUANTITIES
from diagramgen.reader.codes import INP_114, INP_115, INP_116, INP_305, INP_348
from diagramgen.reader.taper_table import START
from diagramgen.yamlfile.codes import INP_105
from diagramgen.yamlfile.nodes import ScalarNode
from diagramgen.yamlfile.schema_fields import Located

LAWS = ("linear", "log", "reverse log", "blend", "reverse blend", "no-load")
VOCABULARY: Mapping[str, Mapping[str, str]] = {
    "law": {**{law: law for law in LAWS}, "lin": "linear", "audio": "log", "logarithmic": "log",
            "anti-log": "reverse log", "antilog": "reverse log", "reverse audio": "reverse log",
            "reverse-log": "reverse log", "no load": "no-load", "half-dead": "blend", "half dead": "blend"},
    "winding": {"clockwise": "clockwise", "anticlockwise": "anticlockwise", "counterclockwise": "anticlockwise",
                "unknown": "unknown"},
    "magnet": {"north": "north", "south": "south", "n": "north", "s": "south", "unknown": "unknown"},
    "kick": {"plus": "plus", "minus": "minus", "+": "plus", "-": "minus", "unknown": "unknown"},
}
"""Last word of a value's name -> the words it may be, with other spellings."""
PERCENT = "-percent"
"""Added to the name of a law: per cent of the track between zero and wiper at half turn."""

WIRE = "wire"
"""The gauge of a coil's winding wire; said without a coil's name it holds for all coils of the pickup."""

TOTALS = ("resistance", "inductance")
"""What a meter reads over both coils of a pickup whose series joint lies inside."""

_AWG = re.compile(r"(?i)\bAWG\b")
_LETTERS = re.compile(r"[abcABC]")
_PERCENT_TEXT = re.compile(r"(\d+(?:\.\d*)?)\s*(?:%|percent|per cent)")


@dataclass
class _Filling:
    """Values taken so far while a short text is read."""

    symbol: Symbol
    taken: dict[str, float | str]
    places: dict[str, Location]
    last_law: str = ""
    named: frozenset[str] = frozenset()
    """Values given by their own names."""

    def free(self) -> list[TypicalValue]:
        """Values of the symbol that have none yet; loss, and what only weighs hum, are never meant by a short text."""
        return [v for v in self.symbol.values.values()
                if v.name not in self.taken and _suffix(v.name) not in ("loss", "turns", "area", "wire")]

    def put(self, name: str, value: float | str, place: Location) -> None:
        self.taken[name], self.places[name] = value, place


def read_values(
    symbol: Symbol, texts: Sequence[ScalarNode], named: Mapping[str, Located[ScalarNode]], say: Diagnostics
) -> tuple[dict[str, float | str], dict[str, Location]]:
    """Values by name in SI units (words for laws, magnets), each with its place; faults go to ``say``."""
    filling = _Filling(symbol, {}, {})
    for name, given in named.items():
        _named(filling, name, given, say)
    filling.named = frozenset(filling.taken)
    if texts:
        _short(filling, texts, say)
    _share_total(filling)
    _ranges(filling, say)
    _unusual(filling, say)
    return filling.taken, filling.places


def _share_total(filling: _Filling) -> None:
    """Take one value of a pickup whose coils are joined inside as that of both in series, the only one a meter sees.

    It is shared out between the coils as they usually share it; a value for each coil stays as it is given.
    """
    for parameter in TOTALS:
        names = _inside(filling.symbol, parameter)
        if len(names) < 2 or names[0] in filling.named or [n for n in names if n in filling.taken] != [names[0]]:
            continue
        _share(filling, names, float(filling.taken[names[0]]), filling.places[names[0]])


def _share(filling: _Filling, names: Sequence[str], total: float, place: Location) -> None:
    usual = [float(filling.symbol.values[n].value or 0.0) for n in names]
    for name, share in zip(names, usual, strict=True):
        filling.put(name, total * share / sum(usual), place)


def _inside(symbol: Symbol, parameter: str) -> list[str]:
    """The names of this value of coils in series whose joint lies under the tape, in the order of the symbol."""
    coils = [e for e in symbol.elements if e.kind == "coil"]
    shared = set.intersection(*(set(e.ends.values()) for e in coils)) if len(coils) > 1 else set()
    taped = {n for p in symbol.drawing.lugs if p.kind == "sleeve" for row in p.names for n in row}
    return [e.values[parameter] for e in coils] if shared & taped else []


def _suffix(name: str) -> str:
    return name.rpartition("-")[2]


def _named(filling: _Filling, name: str, given: Located[ScalarNode], say: Diagnostics) -> None:
    values = filling.symbol.values
    key = name.replace(" ", "-")
    node = given.value
    of_each = [v for v in values if v.endswith(f"-{WIRE}")]
    if key == WIRE and key not in values and of_each:
        for coil in of_each:
            _named(filling, coil, given, say)
        return
    both = _inside(filling.symbol, key) if key in TOTALS and key not in values else []
    if both:
        total = _quantity(values[both[0]], node, say)
        if total is not None:
            _share(filling, both, total, node.place)
        return
    if key.endswith(PERCENT) and key.removesuffix(PERCENT) in values:
        match = _PERCENT_TEXT.fullmatch(node.text.strip()) or re.fullmatch(r"(\d+(?:\.\d*)?)", node.text.strip())
        _percent(filling, key.removesuffix(PERCENT), match[1] if match else "", node, say)
        return
    if key not in values:
        hint = nearest(key, values) if values else "This symbol has no values."
        say.add(INP_305, given.place, f"{filling.symbol.name} has no value '{name}'", hint)
        return
    value = _word(key, node, say) if values[key].quantity == "word" else _quantity(values[key], node, say)
    if value is not None:
        filling.put(key, value, node.place)


def _quantity(kind: TypicalValue, node: ScalarNode, say: Diagnostics) -> float | None:
    if node.from_list:
        say.add(INP_116, node.place, f"a table of points is no {kind.quantity}", "Only a law is a table.")
        return None
    try:
        return _read(kind, node.text)
    except units.BadValue as fault:
        say.add(INP_105, node.place, str(fault), fault.remedy)
        return None


def _read(kind: TypicalValue, text: str) -> float:
    if kind.quantity == "number":
        return units.read_number(_AWG.sub("", text).strip() if _suffix(kind.name) == WIRE else text)
    return units.read_quantity(text, QUANTITIES[kind.quantity])


def _word(name: str, node: ScalarNode, say: Diagnostics) -> str | None:
    words = VOCABULARY.get(_suffix(name))
    text = folded(node.text)
    if node.text.startswith(START) and node.from_list:
        if _suffix(name) == "law":
            return node.text
        say.add(INP_116, node.place, f"a table of points is no {name.replace('-', ' ')}", "Only a law is a table.")
        return None
    if words is None:
        return text
    if text in words:
        return words[text]
    if _suffix(name) == "law" and _LETTERS.fullmatch(node.text):
        say.add(INP_114, node.place, f"the letter '{node.text}' means another law with other makers")
        return None
    say.add(INP_114, node.place, f"'{node.text}' is no {name.replace('-', ' ')}",
            nearest(text, set(words.values())))
    return None


def _short(filling: _Filling, texts: Sequence[ScalarNode], say: Diagnostics) -> None:
    if not filling.symbol.values:
        say.add(INP_115, texts[0].place, f"a {filling.symbol.name} has no value, so '{texts[0].text}' says nothing",
                "Delete it, or check the spelling of a remark such as 'at 34 24' or 'in controls'.")
        return
    words = [ScalarNode(w[0], text.place_at(w.start())) for text in texts for w in re.finditer(r"\S+", text.text)]
    at = 0
    while at < len(words):
        for chunk in (words[at : at + 2], words[at : at + 1]):
            piece = ScalarNode(" ".join(w.text for w in chunk), chunk[0].place)
            if _take(filling, piece, say):
                at += len(chunk)
                break
        else:
            _refuse(filling, words[at], say)
            return


def _take(filling: _Filling, piece: ScalarNode, say: Diagnostics) -> bool:
    """Whether the piece was taken as a law, a word, a percentage or the next value that can be it."""
    percent = _PERCENT_TEXT.fullmatch(piece.text)
    if percent:
        if not filling.last_law:
            say.add(INP_115, piece.place, f"'{piece.text}' follows no law", "Write it after the law: 500k log 10%.")
        else:
            _percent(filling, filling.last_law, percent[1], piece, say)
        return True
    for kind in filling.free():
        if kind.quantity == "word":
            word = VOCABULARY.get(_suffix(kind.name), {}).get(folded(piece.text))
            if word is None:
                continue
            filling.put(kind.name, word, piece.place)
            if _suffix(kind.name) == "law":
                filling.last_law = kind.name
            return True
        try:
            filling.put(kind.name, _read(kind, piece.text), piece.place)
        except units.BadValue:
            continue
        return True
    return False


def _refuse(filling: _Filling, piece: ScalarNode, say: Diagnostics) -> None:
    """Say why no value took the piece."""
    free = filling.free()
    numeric = [v for v in free if v.quantity != "word"]
    starts_like_number = re.match(r"[-+.\d]", piece.text) is not None
    if any(_suffix(v.name) == "law" for v in filling.symbol.values.values()) and _LETTERS.fullmatch(piece.text):
        say.add(INP_114, piece.place, f"the letter '{piece.text}' means another law with other makers")
    elif re.fullmatch(r"[ABC]\d+[kM]?", piece.text) and numeric:
        say.add(INP_114, piece.place, f"the letter in '{piece.text}' means another law with other makers",
                f"Write the word after the value: {piece.text[1:]} log, {piece.text[1:]} linear.")
    elif starts_like_number and numeric:
        _quantity(numeric[0], piece, say)
    elif starts_like_number:
        say.add(INP_115, piece.place, f"'{piece.text}' is one value more than a {filling.symbol.name} has",
                "Its values: " + ", ".join(filling.symbol.values) + ".")
    else:
        say.add(INP_115, piece.place,
                f"'{piece.text}' is no value of a {filling.symbol.name} and no remark known here",
                nearest(folded(piece.text), _all_words(filling.symbol)))


def _all_words(symbol: Symbol) -> list[str]:
    words = [w for v in symbol.values for w in VOCABULARY.get(_suffix(v), {}).values() if w != "unknown"]
    return [*words, "at", "turned", "in", "through", "between", "says", "note", "meant"]


def _percent(filling: _Filling, law: str, text: str, node: ScalarNode, say: Diagnostics) -> None:
    value = float(text) if text and len(text) < 9 else 0.0
    word = filling.taken.get(law, filling.symbol.values[law].value)
    limits = {"log": (1.0, 49.0), "reverse log": (51.0, 99.0), "linear": (45.0, 55.0)}.get(str(word))
    if limits is None:
        say.add(INP_115, node.place, f"a {word} track has no per cent at half turn", "Delete it.")
    elif not limits[0] <= value <= limits[1]:
        say.add(INP_115, node.place, f"'{node.text}' does not fit a {word} track",
                f"At half turn the wiper of one stands at {limits[0]:g} to {limits[1]:g} per cent.")
    else:
        filling.put(law + PERCENT, value, node.place)


def _ranges(filling: _Filling, say: Diagnostics) -> None:
    for name, low, high in _limits(filling.symbol):
        value = filling.taken.get(name)
        if isinstance(value, float) and not low <= value <= high:
            quantity = filling.symbol.values[name].quantity
            shown, least, most = (_shown(x, quantity) for x in (value, low, high))
            what = f"{name.replace('-', ' ')} for a {filling.symbol.name}"
            say.add(INP_105, filling.places[name], f"{shown} is an absurd {what}",
                    f"Expected {least} to {most}; check the prefix letter.")
            del filling.taken[name]


def _unusual(filling: _Filling, say: Diagnostics) -> None:
    """A value that is possible but a thousand times off what instruments have."""
    for element in filling.symbol.elements:
        for parameter, name in element.values.items():
            value = filling.taken.get(name)
            limits = ELEMENT_FORMS[element.kind].limits.get(parameter)
            low, high = limits.usual if limits and limits.usual else (0.0, float("inf"))
            if not isinstance(value, float) or low <= value <= high or filling.symbol.name == "capacitor-electrolytic":
                continue
            quantity = filling.symbol.values[name].quantity
            meant = next((value * f for f in (1e3, 1e-3, 1e6, 1e-6) if low <= value * f <= high), None)
            hint = f"Did you mean {_shown(meant, quantity)}? " if meant is not None else ""
            say.add(INP_348, filling.places[name],
                    f"{_shown(value, quantity)} is far from what the {name.replace('-', ' ')} of a "
                    f"{filling.symbol.kind} is in an instrument",
                    f"{hint}Usual: {_shown(low, quantity)} to {_shown(high, quantity)}. Leave it where it is so.")


def _shown(value: float, quantity: str) -> str:
    return units.number(value) if quantity == "number" else units.quantity(value, QUANTITIES[quantity])


def _limits(symbol: Symbol) -> Iterator[tuple[str, float, float]]:
    for element in symbol.elements:
        for parameter, name in element.values.items():
            limits = ELEMENT_FORMS[element.kind].limits.get(parameter)
            if limits:
                yield name, limits.low, limits.high
