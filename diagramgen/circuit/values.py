"""Electrical values of the elements of a build in SI units: given, typical or assumed; and what coils are called."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from diagramgen.circuit.elements.registry import KINDS
from diagramgen.library.model import Element
from diagramgen.model.build import Build, Part
from diagramgen.reader.taper_table import START, points_of

# Laws of potentiometers: how far along its track the wiper stands for a knob at 0 to 10.

LOG_PERCENT = 15.0
"""Per cent of the track between zero and wiper at half turn, where a log track does not say."""
LET_GO = 9.9
"""Where the wiper of a no-load pot reaches the end of its track; from here to 10 it is open."""


@dataclass(frozen=True)
class Law:
    """Points (turn 0..10, fraction of the track from the zero end); ``open_from``: no contact from this turn on."""

    name: str
    points: tuple[tuple[float, float], ...]
    open_from: float | None = None

    def fraction(self, turn: float) -> float | None:
        """Fraction of the track between zero end and wiper (0..1), or None where the wiper touches nothing.

        Raises ``ValueError`` for a turn outside 0 to 10.
        """
        if not 0.0 <= turn <= 10.0:
            raise ValueError(f"a knob stands at 0 to 10, not at {turn:g}")
        if self.open_from is not None and turn >= self.open_from:
            return None
        for (x0, y0), (x1, y1) in itertools.pairwise(self.points):
            if turn <= x1:
                return y0 + (y1 - y0) * (turn - x0) / (x1 - x0)
        return self.points[-1][1]


def law(name: str, percent: float | None = None) -> Law:
    """The law of a name used in symbols; ``percent`` of the track at half turn for log, reverse log and linear.

    Raises ``ValueError`` for an unknown name or a percentage outside 0 to 100.
    """
    if percent is not None and not 0 < percent < 100:
        raise ValueError(f"{percent:g} % of a track at half turn is none")
    share = None if percent is None else percent / 100
    if name in ("linear", ""):
        return _two_pieces("linear", 0.5 if share is None else share)
    if name == "log":
        return _two_pieces(name, LOG_PERCENT / 100 if share is None else share)
    if name == "reverse log":
        return _two_pieces(name, 1 - LOG_PERCENT / 100 if share is None else share)
    if name == "blend":
        return Law(name, ((0.0, 0.0), (5.0, 1.0), (10.0, 1.0)))
    if name == "reverse blend":
        return Law(name, ((0.0, 0.0), (5.0, 0.0), (10.0, 1.0)))
    if name == "no-load":
        return Law(name, ((0.0, 0.0), (5.0, LOG_PERCENT / 100), (LET_GO, 1.0)), 10.0)
    raise ValueError(f"there is no law '{name}'")


def table(points: Mapping[float, float] | Iterable[tuple[float, float]], open_from: float | None = None) -> Law:
    """A law measured on the bench: (turn 0..10, fraction 0..1) points from 0 to 10.

    Raises ``ValueError`` where the points do not run from turn 0 to 10 (or to ``open_from``) or leave the track.
    """
    pairs = tuple(sorted(points.items() if isinstance(points, Mapping) else points))
    last = 10.0 if open_from is None else min(10.0, open_from)
    if len(pairs) < 2 or pairs[0][0] != 0.0 or pairs[-1][0] < last:
        raise ValueError("the points of a law begin at turn 0 and end at 10")
    if any(a[0] == b[0] for a, b in itertools.pairwise(pairs)):
        raise ValueError("two points of a law stand at the same turn")
    if any(not 0 <= y <= 1 for _, y in pairs):
        raise ValueError("a fraction of the track lies between 0 and 1")
    return Law("table", pairs, open_from)


def _two_pieces(name: str, half: float) -> Law:
    return Law(name, ((0.0, 0.0), (5.0, half), (10.0, 1.0)))


ASSUMED: Mapping[tuple[str, str], float] = {
    (kind.name, parameter): value for kind in KINDS.values() for parameter, value in kind.assumed.items()}
"""Where neither build nor symbol gives a value (typical, from memory); figures that rest on it are assumed."""

SOUNDING = tuple(kind.name for kind in KINDS.values() if kind.sounds)
"""Kinds of elements that make a signal."""

UNHEARD = ("turns", "area", "wire")
"""What of a coil tells how its hum weighs, and is in no current."""


@dataclass(frozen=True)
class Value:
    """A number in SI units and where it comes from."""

    number: float
    origin: str
    """metered (the build says so, or a results file) | sheet (given in the build, from sheet or marking) | typical (in
    the symbol) | assumed (nowhere)."""
    key: str
    """``part.value`` as the build names it."""
    when: str = ""
    """When it was metered, as said."""

    @property
    def given(self) -> bool:
        """Whether it is this part's own, not that of its kind."""
        return self.origin in ("metered", "sheet")


def number_of(part: Part, element: Element, parameter: str) -> Value:
    """The value of a parameter of an element."""
    name = element.values.get(parameter, "")
    key = f"{part.name}.{name or parameter}"
    found = part.values.get(name)
    if isinstance(found, (int, float)):
        when = part.metered.get(name)
        return Value(float(found), "sheet" if when is None else "metered", key, when or "")
    typical = part.symbol.values.get(name)
    if typical is not None and isinstance(typical.value, (int, float)):
        return Value(float(typical.value), "typical", key)
    return Value(ASSUMED[element.kind, parameter], "assumed", key)


def told_of(part: Part, element: Element, parameter: str) -> float | None:
    """The number the build gives for a parameter of an element; None where it gives none."""
    found = part.values.get(element.values.get(parameter, ""))
    return float(found) if isinstance(found, (int, float)) else None


def word_of(part: Part, element: Element, parameter: str) -> tuple[str, bool]:
    """The word of a parameter, '' where there is none, and whether the build gives it."""
    name = element.values.get(parameter, "")
    found = part.values.get(name)
    if isinstance(found, str):
        return found, True
    typical = part.symbol.values.get(name)
    return (str(typical.value) if typical is not None and typical.value is not None else ""), False


def law_of(part: Part, element: Element) -> Law:
    """The law of a track; linear where nothing is said."""
    name = element.values.get("law", "")
    percent = part.values.get(f"{name}-percent")
    word = word_of(part, element, "law")[0]
    if word.startswith(START):
        points, open_from = points_of(word)
        return Law("table", points, open_from)
    return law(word, float(percent) if isinstance(percent, (int, float)) else None)


def elements_of(build: Build, *kinds: str) -> Iterator[tuple[Part, Element]]:
    """Every element of the build of these kinds (of all kinds where none is named), in the order of the file."""
    for part in build.parts.values():
        for element in part.symbol.elements:
            if not kinds or element.kind in kinds:
                yield part, element


def source_name(part: Part, element: Element) -> str:
    """What a coil or transducer is called: the part alone where it has one, else ``part.coil``."""
    own = [e for e in part.symbol.elements if e.kind in SOUNDING]
    return part.name if len(own) == 1 else f"{part.name}.{element.name}"


WHOLE = "whole winding"
"""What a tapped winding is called where it sounds from end to end."""

SECTIONS_APART = ("The sections of a tapped winding are coupled; here its inductance is taken as their sum, and the "
                  "idle section as not there.")


def winding_name(part: Part, element: Element) -> str:
    """What a coil's whole winding is called: the part for a section of a tapped one, else as ``source_name``."""
    return part.name if element.name in part.symbol.sections() else source_name(part, element)


def tapped(build: Build) -> bool:
    """Whether a pickup of the build has a tapped winding."""
    return any(part.symbol.sections() for part in build.parts.values())


def lug_of(part: Part, element: Element, end: str) -> str:
    """``part.lug`` of one end of an element."""
    return f"{part.name}.{element.ends[end]}"


def turn_of(part: Part, element: Element, knobs: Mapping[str, float]) -> float:
    """Where the knob of a track stands: as ``knobs`` (``part.control``, or the part alone) say, else at rest.

    At rest a knob is at 10, one with a detent in the centre and a trimmer at 5.
    """
    own = knobs.get(f"{part.name}.{element.by}", knobs.get(part.name))
    return rest_turn(part, element.by) if own is None else own


def rest_turn(part: Part, control: str) -> float:
    """Where a knob stands where nothing is said."""
    knob = part.symbol.control(control)
    return 5.0 if knob is not None and (knob.kind == "trimmer" or knob.detent in ("centre", "center")) else 10.0


def knobs_of(build: Build) -> dict[str, float]:
    """Every knob and trimmer that moves a track, as ``part.control``, with its turn at rest."""
    found: dict[str, float] = {}
    for part, element in elements_of(build, "track"):
        if element.by:
            found.setdefault(f"{part.name}.{element.by}", rest_turn(part, element.by))
    return found


def faults(build: Build) -> Iterator[tuple[Part, str]]:
    """(part, sentence) for every value no circuit can have: not finite, negative, or zero where that has no sense."""
    wanted = dict.fromkeys(ASSUMED)
    for part, element in elements_of(build):
        for kind, parameter in wanted:
            if kind != element.kind:
                continue
            value = number_of(part, element, parameter)
            zero_fits = parameter in KINDS[kind].zero_fits
            if not math.isfinite(value.number):
                yield part, f"the {parameter} of {value.key} is no finite number"
            elif value.number < 0:
                yield part, f"the {parameter} of {value.key} is negative"
            elif value.number == 0 and not zero_fits:
                yield part, f"the {parameter} of {value.key} is zero"
