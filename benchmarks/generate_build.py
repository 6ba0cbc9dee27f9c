"""Seeded builds of any size at a constant density of leads: ``generate_build.py LEADS SEED > build.yaml``.

A build is a row of stations, two deep, each 100 x 72 mm with a pickup, a volume, a tone with its capacitor and
a toggle: ten leads a station, all of them local, so that the work grows with the number of leads and not with
their crowding. Every so many stations a wall ends the cavity and a channel leads to the next one. Only the first
three stations have a toggle, all others a terminal strip: 16 toggles would have 65,536 states, and the table of them
would be measured instead of the leads.
"""

from __future__ import annotations

import random
import sys

PER_STATION = 10
WIDE, DEEP = 100.0, 72.0
STATIONS_A_CAVITY = 4
TOGGLES = 3


def build_text(leads: int, seed: int = 1) -> str:
    """A build file with about ``leads`` leads (whole stations, and the three that end the chain)."""
    draw = random.Random(seed)
    stations = max(1, round(leads / PER_STATION))
    cavities = [min(STATIONS_A_CAVITY, stations - first) for first in range(0, stations, STATIONS_A_CAVITY)]
    parts, wires, channels = [], [], []
    for k in range(stations):
        cavity, inside = divmod(k, STATIONS_A_CAVITY)
        left, top = WIDE * (inside // 2), DEEP * (inside % 2)
        parts += _parts(k, f"c{cavity}", left, top, draw)
        wires += _leads(k, stations, draw)
        wall = 0.0 if inside % 2 == 0 else _depth(cavities[cavity])
        channels.append(f"p{k}: {{in: c{cavity}, at: [{left + 50:g}, {wall:g}], diameter: 8, length: 60}}")
    for c in range(1, len(cavities)):
        channels.append(f"w{c}: {{in: c{c - 1}, at: [{_width(cavities[c - 1]):g}, {DEEP / 2:g}], to: c{c}, "
                        f"far: [0, {DEEP / 2:g}], diameter: 12, length: 30}}")
    last = len(cavities) - 1
    at = f"[{_width(cavities[last]):g}, {_depth(cavities[last]) / 2:g}]"
    channels.append(f"jack: {{in: c{last}, at: {at}, diameter: 8, length: 40}}")
    channels.append(f"strings: {{in: c0, at: [0, {DEEP / 2:g}], diameter: 4, length: 80}}")
    parts += ["output: jack-mono-open, through jack", "strings: bridge-ground, through strings"]
    rooms = [f"c{i}: {{shape: {{rounded: [{_width(n):g}, {_depth(n):g}], corner: 8}}, depth: 40}}"
             for i, n in enumerate(cavities)]
    blocks = {"cavities": rooms, "channels": channels, "parts": parts}
    text = "format: 1\ntitle: Generated\njob: G-1\nneck: left\npaper: a3\n"
    for name, lines in blocks.items():
        text += f"{name}:\n" + "".join(f"  {line}\n" for line in lines)
    return text + "leads:\n" + "".join(f"  - {line}\n" for line in wires)


def _width(stations: int) -> float:
    return WIDE * (2 if stations > 2 else 1)


def _depth(stations: int) -> float:
    return DEEP * (2 if stations > 1 else 1)


def _parts(k: int, cavity: str, left: float, top: float, draw: random.Random) -> list[str]:
    def at(x: float, y: float) -> str:
        return f"at {left + x + draw.uniform(-2, 2):.1f} {top + y + draw.uniform(-2, 2):.1f}"

    return [
        f"pickup{k}: {{symbol: single-coil, through: p{k}, colours: {{finish: white, start: black}}}}",
        f"volume{k}: pot-24, in {cavity}, {at(24, 26)}",
        f"tone{k}: pot-24, in {cavity}, {at(76, 26)}",
        f"toggle{k}: {'toggle-mini-dpdt-on-on' if k < TOGGLES else 'terminal-strip'}, in {cavity}, {at(50, 52)}",
        f"cap{k}: capacitor-film, 22n, between tone{k}.zero and tone{k}.case",
    ]


def _leads(k: int, stations: int, draw: random.Random) -> list[str]:
    last = k == stations - 1
    switched, joined = ("a 1", "a 2", "a common", "b common"), ("tag a", "tag c", "tag a", "tag b")
    one, two, common, other = switched if k < TOGGLES else joined
    colours = ["red", "yellow", "green", "blue", "white", "orange", "violet"]
    draw.shuffle(colours)
    hot = "output.tip" if last else f"volume{k + 1}.wiper"
    ground = "output.sleeve" if last else f"volume{k + 1}.case"
    return [
        f"pickup{k}.start -> volume{k}.case",
        f"pickup{k}.finish -> toggle{k}.{common}",
        f"toggle{k}.{one} -> volume{k}.ten, {colours[0]}",
        f"toggle{k}.{two} -> volume{k}.zero, black",
        f"volume{k}.ten -> tone{k}.wiper, {colours[1]}",
        f"volume{k}.zero -> volume{k}.case, black",
        f"toggle{k}.{other} -> tone{k}.wiper, {colours[2]}",
        f"tone{k}.case -> volume{k}.case, black",
        f"volume{k}.wiper -> {hot}, {colours[3]}",
        f"volume{k}.case -> {ground}, black",
        *(["strings.ground -> volume0.case, bare"] if k == 0 else []),
    ]


if __name__ == "__main__":
    sys.stdout.write(build_text(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 1))
