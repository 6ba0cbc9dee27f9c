"""Builds written by hand with shipped symbols, for tests of placement and of the harness."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from diagramgen.kernel.colours import parse_colour
from diagramgen.kernel.diagnostics import Location
from diagramgen.kernel.geometry import Box, Path, Point, polyline, rounded_box
from diagramgen.library.catalogue import shipped
from diagramgen.model.build import Build, Cavity, Channel, End, Lead, Load, Part

FILE = "bench.yaml"
SYMBOLS = shipped()


def place(line: int = 1) -> Location:
    return Location(FILE, line, 1)


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
        bridge-pickup.bare -> volume.case, bare
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


def modes() -> Build:
    """Two dual coils with mode slides, a battery box, a joint in the air, a parked and an unknown end."""
    parts = [
        part("volume", "pot-24-push-pull", (34, 24), turned=15),
        part("tone", "pot-24", (66, 50)),
        part("neck-mode", "slide-dpdt", (92, 22), turned=90),
        part("bridge-mode", "slide-dpdt", (104, 50), turned=90),
        part("neck", "dual-coil", through="neck-hole"),
        part("bridge", "dual-coil", through="bridge-hole"),
        part("jack", "jack-mono-open", through="jack-hole"),
        part("strings", "bridge-ground", through="string-wire"),
        part("battery", "battery-9v", through="battery-hole"),
        part("cap", "capacitor-film", between=("tone.wiper", "tone.case")),
        part("link", "splice"),
    ]
    lines = """
        neck.a finish -> neck-mode.a common, red
        neck.a start -> neck-mode.a 1, green
        neck.b start -> neck-mode.b common, white
        neck.b finish -> neck-mode.b 1, black
        neck.bare -> volume.case, bare
        bridge.a finish -> bridge-mode.a common, red
        bridge.a start -> link.joint, green
        bridge.b start -> link.joint, white
        bridge.b finish -> parked, black
        bridge.bare -> volume.case, bare
        neck-mode.a 2 -> volume.a common, white
        bridge-mode.a 2 -> volume.b common, white
        volume.a near -> volume.ten, white
        volume.wiper -> jack.tip, white, shielded
        volume.case -> jack.sleeve, black
        volume.zero -> volume.case, bend
        volume.case -> tone.case, black
        volume.ten -> tone.ten, yellow
        strings.ground -> tone.case, black
        battery.minus -> tone.case, black
        battery.plus -> unknown, red
    """
    channels = [
        channel("neck-hole", (0, 20)), channel("bridge-hole", (0, 50)), channel("jack-hole", (124, 60)),
        channel("string-wire", (30, 0)), channel("battery-hole", (90, 0)),
    ]
    return build(parts, lines, [cavity(outline=box(124, 74))], channels)


def several() -> Build:
    """Controls, an upright toggle in the upper bout and a jack in its own bore, joined by channels."""
    parts = [
        part("neck-vol", "pot-24", (30, 25)),
        part("bridge-vol", "pot-24", (64, 25)),
        part("neck-tone", "pot-24", (30, 60)),
        part("bridge-tone", "pot-24", (64, 60)),
        part("toggle", "toggle-upright", (14, 14), cavity="upper"),
        part("jack", "jack-mono-open", (15, 15), cavity="bore"),
        part("neck", "single-coil", through="neck-hole"),
        part("bridge", "single-coil", through="bridge-hole"),
        part("strings", "bridge-ground", through="string-wire"),
        part("c1", "capacitor-film", between=("neck-vol.ten", "neck-tone.ten")),
        part("c2", "capacitor-film", between=("bridge-vol.ten", "bridge-tone.ten")),
    ]
    lines = """
        neck.finish -> neck-vol.ten, white
        neck.start -> neck-vol.case, black
        bridge.finish -> bridge-vol.ten, white
        bridge.start -> bridge-vol.case, black
        neck-vol.wiper -> toggle.up, white, shielded
        bridge-vol.wiper -> toggle.down, white, shielded
        toggle.up centre -> jack.tip, red, shielded
        toggle.up centre -> toggle.down centre, bridge
        toggle.frame -> bridge-vol.case, black
        bridge-vol.case -> jack.sleeve, black
        neck-vol.case -> bridge-vol.case, bare
        neck-tone.case -> neck-vol.case, bare
        bridge-tone.case -> bridge-vol.case, bare
        strings.ground -> bridge-tone.case, black
        neck-vol.zero -> neck-vol.case, bend
        bridge-vol.zero -> bridge-vol.case, bend
        neck-tone.wiper -> neck-tone.case, bend
    """
    wall = outline((0, 20), (30, 0), (80, 0), (95, 30), (90, 75), (50, 85), (5, 75))
    cavities = [
        cavity("controls", wall, at=(0, 0)),
        cavity("upper", box(36, 30, 6), at=(-90, -80)),
        cavity("bore", box(30, 30, 15), at=(130, 60)),
    ]
    channels = [
        channel("long", (10, 14), to="upper", far=(36, 20), length=180),
        channel("jackway", (92, 55), to="bore", length=25),
        channel("neck-hole", (0, 45)), channel("bridge-hole", (5, 65)), channel("string-wire", (60, 0)),
    ]
    return build(parts, lines, cavities, channels)


def unmeasured(made: Build) -> Build:
    """The same wiring with no cavity and no place given."""
    parts = {p.name: replace(p, cavity="", through="", at=None, turned=0.0) for p in made.parts.values()}
    return replace(made, cavities={}, channels={}, parts=parts)
