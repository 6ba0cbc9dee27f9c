"""Draws docs/circuit-netlist.svg: the smallest sample as a netlist, and the stamps of its elements in the equations.

    python tools/draw_circuit.py

Everything in the picture is asked of the program, so that it cannot go stale: a test compares the file with a new one.
"""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from pathlib import Path
from xml.sax.saxutils import escape

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

import numpy as np  # noqa: E402
from circuits import at, sample  # noqa: E402

from diagramgen.circuit.dc_readings import read  # noqa: E402
from diagramgen.circuit.elements.element import Element  # noqa: E402
from diagramgen.circuit.netlist import Elements, Netlist, netlist_of  # noqa: E402
from diagramgen.circuit.nodal import equations, sweep  # noqa: E402
from diagramgen.kernel.tokens import ERROR, INK, PALE_RULE, PAPER  # noqa: E402
from diagramgen.kernel.units import CAPACITANCE, INDUCTANCE, RESISTANCE, quantity  # noqa: E402

PICTURE = ROOT / "docs" / "circuit-netlist.svg"
SAMPLE = ROOT / "samples" / "one-volume.yaml"
KNOBS = {"volume.turn": 7.0}
FAINT, LETTER = PALE_RULE, ERROR
CELL = 84


def letters(net: Netlist) -> list[tuple[str, Element]]:
    """Every element with a letter of its own, in the order they are stamped."""
    return [(chr(ord("a") + i), e) for i, e in enumerate(net.elements)]


def stamped(net: Netlist) -> dict[tuple[int, int], list[str]]:
    """Row and column of the equations -> letters of the elements that write there; (s): it depends on s."""
    found: dict[tuple[int, int], list[str]] = {}
    for letter, element in letters(net):
        low, high = equations(replace(net, elements=Elements((element,))), np.array([1j, 2j])).matrices()
        for row, column in zip(*np.nonzero(low), strict=True):
            told = letter if low[row, column] == high[row, column] else f"{letter}(s)"
            found.setdefault((int(row), int(column)), []).append(told)
    return found


def words(element: Element) -> str:
    """An element with its values, and what it writes."""
    (piece,) = element.branches()
    if piece.henry:
        value = f"{quantity(piece.ohm, RESISTANCE, 4)} + {quantity(piece.henry, INDUCTANCE)}"
        return f"{element.name}, {piece.what}: {value}; ±1/(R + sL)"
    if piece.farad:
        return f"{element.name}, {piece.what}: {quantity(piece.farad, CAPACITANCE)}; ±sC"
    return f"{element.name}, {piece.what}: {quantity(piece.ohm, RESISTANCE, 4)}; ±1/R"


def text(x: float, y: float, said: str, size: int = 13, anchor: str = "start", colour: str = INK) -> str:
    """One line of text."""
    return (f'<text x="{x:g}" y="{y:g}" font-size="{size}" text-anchor="{anchor}" fill="{colour}">'
            f'{escape(said)}</text>')


def line(x: float, y: float, to_x: float, to_y: float, colour: str = INK, width: float = 1.5) -> str:
    """One straight line."""
    return f'<line x1="{x:g}" y1="{y:g}" x2="{to_x:g}" y2="{to_y:g}" stroke="{colour}" stroke-width="{width:g}"/>'


def piece(x: float, y: float, letter: str) -> str:
    """The box of an element with its letter."""
    return (f'<rect x="{x - 15:g}" y="{y - 13:g}" width="30" height="26" rx="3" fill="{PAPER}" stroke="{INK}"/>'
            + text(x, y + 5, letter, 15, "middle", LETTER))


def netlist(net: Netlist, left: float, top: float) -> list[str]:
    """Points in a row over the rail of ground; elements to ground hang down, those between points lie above."""
    found: list[str] = []
    high, rail, x = top + 90, top + 220, left
    middle: dict[int, float] = {}
    for point in range(1, net.size):
        hung = [letter for letter, e in letters(net) if set(e.nodes()) == {0, point}]
        width = 46 * max(1, len(hung))
        middle[point] = x + width / 2
        found.append(line(x + 23, high, x + width - 23, high, width=3))
        for i, letter in enumerate(hung):
            here = x + 23 + 46 * i
            found += [line(here, high, here, rail), piece(here, (high + rail) / 2, letter)]
        x += width + 40
    found.append(line(left, rail, x - 40, rail, width=3))
    found.append(text(left, rail + 20, f"0, ground: {net.names[0]}"))
    for point, here in middle.items():
        found.append(text(here + 6, high - 8, f"{point}: {net.names[point]}"))
    across = [(letter, e) for letter, e in letters(net) if 0 not in e.nodes()]
    for i, (letter, e) in enumerate(across):
        a, b = (middle[node] for node in e.nodes())
        y = high - 44 - 34 * i
        found += [line(a, high, a, y), line(b, high, b, y), line(a, y, b, y), piece((a + b) / 2, y, letter)]
    return found


def matrix(net: Netlist, left: float, top: float) -> list[str]:
    """The equations: a row and a column for each point but ground."""
    cells = stamped(net)
    names = [f"v{p}" for p in range(1, net.size)]
    found = []
    for i, name in enumerate(names):
        found.append(text(left + CELL * i + CELL, top - 8, name, 12, "middle"))
        found.append(text(left + CELL * len(names) + CELL / 2 + 8, top + CELL / 2 + CELL * i, name, 12))
    for row in range(len(names)):
        for column in range(len(names)):
            x, y = left + CELL / 2 + CELL * column, top + CELL * row
            found.append(f'<rect x="{x:g}" y="{y:g}" width="{CELL}" height="{CELL}" fill="none" stroke="{FAINT}"/>')
            told = cells.get((row, column), [])
            rows = [" ".join(told[i : i + 2]) for i in range(0, len(told), 2)]
            for n, words_here in enumerate(rows):
                high = y + CELL / 2 + 5 - 8 * (len(rows) - 1) + 16 * n
                found.append(text(x + CELL / 2, high, words_here, 13, "middle", LETTER))
    return found


def picture() -> str:
    """The whole picture as SVG."""
    made = sample(SAMPLE)
    here, classes = at(made, None, KNOBS)
    net = netlist_of(here, classes)
    response = sweep(net, np.array([1000.0]))
    reading = read(here, classes, "output.tip", "output.sleeve")
    found = [text(20, 28, "Netlist: points, and elements between them", 15), *netlist(net, 20, 24),
             text(400, 28, "Equations A(s) x = b: who writes where", 15), *matrix(net, 400, 66)]
    y = 300.0
    for letter, element in letters(net):
        found += [text(24, y, letter, 14, colour=LETTER), text(48, y, words(element))]
        y += 20
    level, ohms = 20 * math.log10(abs(response.transfers[0, 0])), abs(response.impedance[0])
    for more, said in (
        (14, f"At 1 kHz the {net.sources[0]} stands {-level:.2f} dB under its own voltage at the tip; "
             f"the impedance there is {ohms / 1000:.1f} kΩ."),
        (34, f"A meter reads {quantity(reading.ohms or 0.0, RESISTANCE)} at the plug: s = 0, "
             "without loss, cable and amplifier."),
    ):
        found.append(text(24, y + more, said))
    body = "\n".join(found)
    return (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 720 {y + 52:g}" font-family="sans-serif">\n'
            f'<title>One coil and one volume at 7 as a netlist, with the stamp of each element</title>\n'
            f'<rect width="720" height="{y + 52:g}" fill="{PAPER}"/>\n{body}\n</svg>\n')


if __name__ == "__main__":
    PICTURE.write_text(picture(), encoding="utf-8")
