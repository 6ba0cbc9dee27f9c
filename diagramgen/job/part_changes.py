"""What becomes of every part between two builds of one instrument."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from diagramgen.model.build import Build, Part

TOLERANCE = 0.2
"""Share by which two values of one part may differ and still be two readings of it: the usual tolerance of pots
and capacitors (common practice, no source)."""
METERED = ("kick", "magnet")
"""Ends of the names of values that tell how a winding was found to be, not which part it is."""
NEAR = 0.5
"""mm: places that differ by less are one place measured twice."""


@dataclass(frozen=True)
class PartChange:
    """What becomes of one part.

    ``what`` is one of stays, out, in, replaced (another takes its place under the same name), moves (another place
    or turn), metered (the same part, with a value or record that differs).
    """

    what: str
    found: Part | None
    left: Part | None
    details: tuple[str, ...] = ()
    """What differs, in words."""

    @property
    def part(self) -> Part:
        """The part as left, or as found where it comes out."""
        found = self.left or self.found
        if found is None:
            raise ValueError("a change of no part")
        return found

    @property
    def name(self) -> str:
        """Its name in the files."""
        return self.part.name

    def turned(self) -> PartChange:
        """The way back."""
        what = {"out": "in", "in": "out"}.get(self.what, self.what)
        back = tuple(_swapped(words) for words in self.details)
        return PartChange(what, self.left, self.found, back)


def _swapped(words: str) -> str:
    head, arrow, after = words.partition(" -> ")
    label, colon, before = head.partition(": ")
    return f"{label}{colon}{after}{arrow}{before}" if arrow and colon else words


def made_at_bench(part: Part) -> bool:
    """Whether a part is nothing but solder under a sleeve, a joint in the air or a capped end: it is neither bought nor
    handed back."""
    lugs = part.symbol.drawing.lugs
    return bool(lugs) and all(lug.kind == "sleeve" for lug in lugs)


def part_changes(found: Build, left: Build) -> tuple[PartChange, ...]:
    """Every part of both builds once: those found in the order of their build, then those that come."""
    same_plan = found.flipped == left.flipped
    result = []
    for name, part in found.parts.items():
        other = left.parts.get(name)
        result.append(PartChange("out", part, None) if other is None else _change(part, other, same_plan))
    result += [PartChange("in", None, p) for name, p in left.parts.items() if name not in found.parts]
    return tuple(result)


def _change(a: Part, b: Part, same_plan: bool) -> PartChange:
    other = tuple(_another(a, b))
    if other:
        return PartChange("replaced", a, b, other)
    moved = tuple(_moved(a, b)) if same_plan else ()
    metered = tuple(_values(a, b, within=True))
    if moved:
        return PartChange("moves", a, b, (*moved, *metered))
    return PartChange("metered" if metered else "stays", a, b, metered)


def _another(a: Part, b: Part) -> Iterator[str]:
    """Why the second is another part than the first."""
    if a.symbol.name != b.symbol.name:
        yield f"kind: {a.symbol.name} -> {b.symbol.name}"
        return
    yield from _values(a, b, within=False)
    for lug in a.colours.keys() & b.colours.keys():
        if a.colours[lug] != b.colours[lug]:
            yield f"conductor {lug}: {a.colours[lug].word} -> {b.colours[lug].word}"


def _values(a: Part, b: Part, within: bool) -> Iterator[str]:
    """Values given in both that differ by less (``within``) or by more than one part's readings may."""
    for name in sorted(a.values.keys() & b.values.keys()):
        before, after = a.values[name], b.values[name]
        if before == after:
            continue
        if isinstance(before, str) or isinstance(after, str):
            # A winding's sense is found out by metering, a pot's law is another pot.
            close = name.endswith(METERED)
        else:
            close = abs(after - before) <= TOLERANCE * max(abs(before), abs(after)) + 1e-18
        if close == within:
            yield f"{name}: {value_words(before)} -> {value_words(after)}"


def value_words(value: float | str) -> str:
    """A value as it is spoken: ``500k``, ``22n``, ``log``."""
    if isinstance(value, str):
        return value
    for size, letter in ((1e6, "M"), (1e3, "k"), (1.0, ""), (1e-3, "m"), (1e-6, "u"), (1e-9, "n"), (1e-12, "p")):
        if abs(value) >= size * 0.9995:
            return f"{value / size:.4g}{letter}"
    return f"{value:.4g}"


def _moved(a: Part, b: Part) -> Iterator[str]:
    if a.cavity != b.cavity and a.cavity and b.cavity:
        yield f"cavity: {a.cavity} -> {b.cavity}"
    elif a.at is not None and b.at is not None and math.hypot(a.at.x - b.at.x, a.at.y - b.at.y) > NEAR:
        yield f"place: {a.at.x:g} {a.at.y:g} -> {b.at.x:g} {b.at.y:g}"
    if abs(math.remainder(a.turned - b.turned, math.tau)) > math.radians(1):
        yield f"turned: {math.degrees(a.turned):.0f} -> {math.degrees(b.turned):.0f} degrees"
    if a.through != b.through and a.through and b.through:
        yield f"channel: {a.through} -> {b.through}"
    if a.mounted_on != b.mounted_on:
        yield f"mounted on: {a.mounted_on or 'the wood'} -> {b.mounted_on or 'the wood'}"


def values_in_words(part: Part) -> str:
    """The part's symbol and values in one line, as a build file has them: ``pot-24, 500k log``."""
    return ", ".join(filter(None, (part.symbol.name, _values_in_line(part))))


def kind_in_words(part: Part) -> str:
    """The part's kind and values in one line, for people: ``rotary pot, 24 mm, 500k log``."""
    return ", ".join(filter(None, (part.symbol.kind, _values_in_line(part))))


def _values_in_line(part: Part) -> str:
    return " ".join(value_words(v) for n, v in part.values.items() if v != "" and not n.endswith(METERED))
