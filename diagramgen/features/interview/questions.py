"""The questions of the interview, one after another: each with a default, each answer read or refused with a reason.

Nothing here knows a terminal: a generator gives the next question and is sent what was read.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Generator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from diagramgen.features.interview.answers import (
    CAVITY,
    EACH,
    NAMES,
    NONE,
    ONE,
    OWN,
    PICKUPS,
    TWO,
    Answers,
    Cavity,
    Reason,
)
from diagramgen.kernel.diagnostics import nearest
from diagramgen.kernel.units import CAPACITANCE, RESISTANCE, BadValue, read_length, read_quantity
from diagramgen.reader.values import LAWS

UNMEASURED = "not measured"
_SINGLE = ("single-coil", "single-coil-cover-tag", "bass-single")


@dataclass(frozen=True)
class Question:
    """One question: its words, the default as it would be typed, how an answer is read, and what may be answered."""

    words: str
    default: str
    read: Callable[[str], Any]
    """Raises ``Reason`` for an answer that cannot be taken."""
    choices: tuple[tuple[str, str], ...] = ()
    """(answer, what it means), listed with the question."""


Interview = Generator[Question, Any, Answers]


def interview() -> Interview:
    """Every question in the order of a job; the answers at the end."""
    title = yield Question("Title, as printed on every sheet", "New build", _text(120, needed=True))
    job = yield Question("Job number (- for none)", "-", _text(40))
    instrument = yield Question("Instrument in words (- for none)", "-", _text(120))
    hand = yield _choice("Hand of the instrument", "right", {"right": "", "left": ""})
    cavity, neck = yield from _cavity()
    pickups = yield from _pickups()
    names = NAMES[len(pickups)]
    volumes = yield _choice("Volumes", ONE, _volumes(names))
    selector = "" if len(pickups) == 1 else (yield _selector(len(pickups)))
    tones = yield _choice("Tones", ONE, _tones(names, volumes, selector))
    pot, cap = yield from _values(pickups, volumes, tones)
    jack = yield _choice("Jack", "jack-mono-open", {"jack-mono-open": "open frame", "jack-barrel": "barrel"})
    selector_in, jack_in = CAVITY, OWN
    if cavity is not None:
        where = {CAVITY: "in the wood or plate over the control cavity", OWN: "elsewhere, such as the upper bout"}
        if selector:
            selector_in = yield _choice("Where is the selector?", CAVITY, where)
        jack_in = yield _choice("Where is the jack?", OWN, {CAVITY: where[CAVITY], OWN: "in the side or in a bore"})
    strings = yield _choice("Is there a wire that grounds bridge and strings?", "yes", {"yes": "", "no": ""})
    given = Answers(title, job, instrument, hand, neck, cavity, {}, tuple(pickups), volumes, tones, pot, cap,
                    selector, selector_in, jack, jack_in, strings == "yes")
    return given if cavity is None else (yield from _places(given, cavity))


def _cavity() -> Generator[Question, Any, tuple[Cavity | None, str]]:
    size = yield Question("Control cavity, width x height, such as 92 x 62 or 3 5/8 x 2 1/2 in", UNMEASURED,
                          _measured(_size))
    if size is None:
        return None, "left"
    width, height = size
    corner = yield Question("Radius of its corners", UNMEASURED, _measured(_length(0, min(width, height) / 2)))
    depth = yield Question("Clear depth with the cover on", UNMEASURED, _measured(_length(5, 120)))
    wood = yield Question("Wood the threads of the pots pass", UNMEASURED, _measured(_length(0.5, 40)))
    opened = yield _choice("Opened from", "rear", {"rear": "", "front": ""})
    neck = yield _choice("Looking at the solder side, the neck is to the", "left",
                         dict.fromkeys(("left", "right", "up", "down"), ""))
    return Cavity(width, height, corner or 0.0, depth or 0.0, wood or 0.0, opened), neck


def _pickups() -> Generator[Question, Any, list[str]]:
    count = yield _choice("How many pickups?", "2", {"1": "one alone", "2": "neck and bridge",
                                                     "3": "neck, middle and bridge"})
    kinds: list[str] = []
    for name in NAMES[int(count)]:
        which = "pickup" if count == "1" else f"{name} pickup"
        kinds.append((yield _choice(f"Kind of the {which}", kinds[-1] if kinds else "single-coil",
                                    {k.symbol: k.words for k in PICKUPS.values()})))
    return kinds


def _volumes(names: Sequence[str]) -> dict[str, str]:
    each = {EACH: "one for each pickup"} if len(names) > 1 else {}
    return {ONE: "one for all" if each else "one volume", **each, NONE: "no volume"}


def _selector(count: int) -> Question:
    """Three pickups are always selected; two may sound together all the time."""
    if count == 2:
        return _choice("Selector", "toggle-short", {
            "toggle-short": "toggle, short and closed", "toggle-upright": "toggle, upright, leaf contacts",
            "lever-open-3": "lever, three-way", NONE: "no selector: both sound all the time"}, {NONE: ""})
    return _choice("Selector", "lever-open-5", {"lever-open-5": "lever, five-way", "lever-open-3": "lever, three-way"})


def _tones(names: Sequence[str], volumes: str, selector: str) -> dict[str, str]:
    found = {ONE: "one for all" if len(names) > 1 else "one tone"}
    if volumes == EACH:
        found[EACH] = "one for each pickup"
    elif selector == "lever-open-5":
        found[TWO] = "one for neck, one for middle"
    return {**found, NONE: "no tone"}


def _values(pickups: Sequence[str], volumes: str, tones: str) -> Generator[Question, Any, tuple[str, str]]:
    """250k and 47n with single coils, 500k and 22n with others: common practice, no source."""
    bright = all(kind in _SINGLE for kind in pickups)
    pot, cap = ("250k log", "47n") if bright else ("500k log", "22n")
    if (volumes, tones) != (NONE, NONE):
        pot = yield Question("Value of the pots, with the word for the law", pot, _pot)
    if tones != NONE:
        cap = yield Question("Capacitor of the tone", cap, _cap)
    return pot, cap


def _places(given: Answers, cavity: Cavity) -> Interview:
    """Channels and holes, where they were measured."""
    at = "x y in mm from the cavity's upper left"
    mouths, places = {}, {}
    asked = {"pickups": "the leads of the pickups come", **({"jack": "the leads to the jack go"}
             if given.jack_in == OWN else {}), **({"bridge": "the string ground comes"} if given.strings else {})}
    for name, words in asked.items():
        found = yield Question(f"Mouth of the channel {words} through, {at}", UNMEASURED, _measured(_point(cavity)))
        if found is not None:
            mouths[name] = found
    holes = given.controls()
    known = yield _choice("Have the holes of the controls been measured?", "no", {"no": "", "yes": ""})
    for name in holes if known == "yes" else ():
        found = yield Question(f"Centre of the hole of {name}, {at}", UNMEASURED, _measured(_point(cavity)))
        if found is not None:
            places[name] = found
    return given.measured(mouths, places)


def _choice(words: str, default: str, choices: Mapping[str, str], means: Mapping[str, str] | None = None) -> Question:
    """A question with few answers; the beginning of a word is enough where only one begins so."""
    def read(text: str) -> str:
        typed = " ".join(text.lower().split())
        fits = [c for c in choices if c == typed] or [c for c in choices if typed and c.startswith(typed)]
        if len(fits) != 1:
            why = "fits more than one of them" if fits else "is not one of them"
            raise Reason(f"'{text.strip()}' {why}. {nearest(typed, fits or choices)}")
        return (means or {}).get(fits[0], fits[0])

    return Question(words, default, read, tuple(choices.items()))


def _text(most: int, needed: bool = False) -> Callable[[str], str]:
    def read(text: str) -> str:
        plain = " ".join(text.split())
        if needed and plain in ("", "-"):
            raise Reason("the sheets need one.")
        if len(plain) > most:
            raise Reason(f"that has {len(plain)} letters; {most} fit on the sheets.")
        if not plain.isprintable():
            raise Reason("there is a control character in it.")
        return "" if plain == "-" else plain

    return read


def _measured(read: Callable[[str], Any]) -> Callable[[str], Any]:
    def either(text: str) -> Any:
        return None if text.strip().lower() in (UNMEASURED, "none", "no", "-", "") else read(text)

    return either


def _length(low: float, high: float) -> Callable[[str], float]:
    def read(text: str) -> float:
        mm = _mm(text)
        if not low <= mm <= high:
            raise Reason(f"{mm:g} mm is outside {low:g} to {high:g} mm.")
        return mm

    return read


def _size(text: str) -> tuple[float, float]:
    pieces = re.split(r"\s*[x×*]\s*", text.strip(), flags=re.IGNORECASE)
    if len(pieces) != 2:
        raise Reason("write width x height: 92 x 62, or 3 5/8 x 2 1/2 in.")
    # A unit behind the second measure is meant for both.
    unit = re.search(r"(?i)(mm|cm|in|inch|inches|\"|″)\s*$", pieces[1])
    if unit and re.search(r"\d\s*$", pieces[0]):
        pieces[0] += f" {unit[1]}"
    width, height = (_length(20, 400)(piece) for piece in pieces)
    return width, height


def _point(cavity: Cavity) -> Callable[[str], tuple[float, float]]:
    def read(text: str) -> tuple[float, float]:
        pieces = text.replace(",", " ").split()
        if len(pieces) != 2:
            raise Reason("write two numbers with a blank between: 46 26.")
        x, y = (_mm(piece, zero=True) for piece in pieces)
        if not (0 <= x <= cavity.width and 0 <= y <= cavity.height):
            raise Reason(f"{x:g} {y:g} is outside the cavity of {cavity.width:g} x {cavity.height:g} mm.")
        return x, y

    return read


def _mm(text: str, zero: bool = False) -> float:
    try:
        return read_length(text, allow_zero=zero)
    except BadValue as fault:
        raise Reason(f"{fault}. {fault.remedy}") from fault


def _pot(text: str) -> str:
    value, _, law = " ".join(text.split()).partition(" ")
    _quantity(value, RESISTANCE)
    if law.lower() not in LAWS:
        raise Reason(f"'{law}' is no law of a pot. {nearest(law, LAWS)} Such as: 500k log.")
    return f"{value} {law.lower()}"


def _cap(text: str) -> str:
    _quantity(text, CAPACITANCE)
    return " ".join(text.split())


def _quantity(text: str, kind: Any) -> None:
    try:
        read_quantity(text, kind)
    except BadValue as fault:
        raise Reason(f"{fault}. {fault.remedy}") from fault
