"""Builds written by hand with shipped symbols, for tests of placement and of the harness."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from diagramgen.build.model import Build, Cavity, Channel, End, Lead, Load, Part
from diagramgen.colours import parse_colour
from diagramgen.geometry import Box, Path, Point, polyline, rounded_box
from diagramgen.library.catalogue import shipped
from diagramgen.problems import Place

FILE = "bench.yaml"
SYMBOLS = shipped()


def place(line: int = 1) -> Place:
    return Place(FILE, line, 1)


def end(text: str) -> End:
    part, _, lug = text.partition(".")
    return End(part, lug, place())


def part(name: str, symbol: str, at: tuple[float, float] | None = None, turned: float = 0.0, cavity: str = "",
         through: str = "", between: tuple[str, str] | None = None) -> Part:
    if at is not None and not cavity:
        cavity = "controls"
    legs = (end(between[0]), end(between[1])) if between else None
    return Part(name, SYMBOLS[symbol], name, cavity, through, Point(*at) if at else None, math.radians(turned),
                {}, {}, {}, legs, "", None, None, None, "", place())


def lead(line: str, tag: str) -> Lead:
    """``a.b -> c.d, red, shielded`` as the file says it, with colour and kind only."""
    ends, *marks = (m.strip() for m in line.split(","))
    start, _, finish = ends.partition("->")
    kinds = {"wire", "shielded", "bare", "bend", "sleeved", "bridge", "leg"}
    kind = next((m for m in marks if m in kinds), "wire")
    colour = next((parse_colour(m) for m in marks if m not in kinds), None)
    return Lead(tag, False, end(start.strip()), end(finish.strip()), colour, kind, None, None, None, False, "",
                (), False, (), (), False, (), (), (), "", False, "", "", place())


def leads(text: str) -> tuple[Lead, ...]:
    lines = [line.strip() for line in text.strip().splitlines() if line.strip()]
    return tuple(lead(line, f"W{n:02d}") for n, line in enumerate(lines, start=1))


def cavity(name: str = "controls", outline: Path | None = None, at: tuple[float, float] | None = None,
           depth: float = 38.0) -> Cavity:
    return Cavity(name, name, "rear", outline, depth, 5.0, (), None, 0.0, None, Point(*at) if at else None, place())


def box(width: float, height: float, corner: float = 12.0) -> Path:
    return rounded_box(Box(0, 0, width, height), corner)


def outline(*points: tuple[float, float]) -> Path:
    return polyline([Point(*p) for p in points], closed=True)


def channel(name: str, at: tuple[float, float], cavity: str = "controls", to: str = "",
            far: tuple[float, float] | None = None, diameter: float = 8.0, length: float | None = 60.0) -> Channel:
    return Channel(name, cavity, to, Point(*at), Point(*far) if far else None, diameter, length, place())


def build(parts: Sequence[Part], lines: str, cavities: Sequence[Cavity] = (), channels: Sequence[Channel] = (),
          flipped: bool = False) -> Build:
    return Build(FILE, "by hand", "", "", {}, "left" if flipped else "right", flipped, "left", "A4",
                 {c.name: c for c in cavities}, {c.name: c for c in channels}, {p.name: p for p in parts},
                 leads(lines), {}, (), (), Load(3000, 1e-10, 1e6, True), 24, 1.4, 20.0, ())


def flipped(made: Build) -> Build:
    return replace(made, flipped=not made.flipped)


def one_volume() -> Build:
    """A control cavity with volume and tone, two pickups through channels, jack and bridge outside."""
    parts = [
        part("volume", "pot-24", (38, 26)),
        part("tone", "pot-24", (84, 28), turned=20),
        part("selector", "toggle-mini-dpdt-on-on", (62, 54)),
        part("neck", "single-coil", through="pickups"),
        part("bridge-pickup", "dual-coil", through="pickups"),
        part("output", "jack-mono-open", through="jack-hole"),
        part("strings", "bridge-ground", through="bridge-hole"),
        part("tone-cap", "capacitor-film", between=("tone.wiper", "tone.case")),
    ]
    lines = """
        neck.finish -> selector.a 1, white
        neck.start -> volume.case, black
        bridge-pickup.a finish -> selector.a 2, red
        bridge-pickup.b finish -> volume.case, black
        bridge-pickup.shield -> volume.case, bare
        selector.a common -> volume.ten, white
        volume.wiper -> output.tip, white, shielded
        volume.zero -> volume.case, bend
        volume.case -> output.sleeve, black
        volume.ten -> tone.ten, white
        volume.case -> tone.case, black
        strings.ground -> volume.case, black
    """
    channels = [channel("pickups", (0, 30)), channel("jack-hole", (124, 50)), channel("bridge-hole", (60, 0))]
    return build(parts, lines, [cavity(outline=box(124, 74))], channels)
