"""What each position gives as a grid of cells: the controls drawn, the pickups with sounding coils filled, words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from diagramgen.circuit.coil_words import capital
from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Text
from diagramgen.features.record.handle_pictures import COIL, GAP, TALL, control_marks, pickup_marks, pickup_width
from diagramgen.job.state_chart import PickupLook, PlayerChart, PlayerState, Stand
from diagramgen.kernel.geometry import Box, Point, rounded_box
from diagramgen.lettering import fit, text_width, wrap
from diagramgen.sheets.flow import Block, paragraph

PLACES = ("neck", "middle", "bridge", "strings")
"""Words in what a coil is called that tell where it lies."""
SMALL = 1.8
WORDS = 2.2
AIR = 2.0
LEAST_CONTROL, MOST = 12.0, 24.0
"""Narrowest and widest room of a control's picture and its name, mm."""
LEAST = 27.0
"""Width left to the words of a cell beside its pictures, mm, below which they stand under them."""


def cells(chart: PlayerChart, width: float, mirrored: bool = False) -> list[Block]:
    """What is to be known of the pictures; then the grid in rows of two cells, or of one where they are wide."""
    if not chart.states:
        return []
    pictures = max(_pictures_width(chart, state) for state in chart.states)
    across = 2 if pictures + 2 * AIR <= (width - AIR) / 2 and len(chart.states) > 1 else 1
    wide = (width - AIR * (across - 1)) / across
    rows = [chart.states[i : i + across] for i in range(0, len(chart.states), across)]
    blocks = [_row(chart, row, wide, mirrored) for row in rows]
    told = [*((line, SMALL) for line in _key(chart)), *((line, WORDS) for line in (*chart.changes, *chart.turned))]
    return [*(replace(paragraph(line, width, tall), keep=True) for line, tall in told), *blocks]


def _control_width(stand: Stand) -> float:
    words = max(text_width(stand.name, SMALL), text_width(stand.word, SMALL, True))
    return min(MOST, max(LEAST_CONTROL, words + 1.6))


def _pickup_slot(look: PickupLook) -> float:
    return max(pickup_width(len(look.coils), look.strip), min(MOST, text_width(look.says, SMALL))) + AIR


def _pictures_width(chart: PlayerChart, state: PlayerState) -> float:
    return sum(_control_width(s) for s in state.stands) + sum(_pickup_slot(p) for p in chart.pickups)


def _beside(chart: PlayerChart, state: PlayerState, wide: float) -> bool:
    return wide - _pictures_width(chart, state) - 2 * AIR >= LEAST


def _tall(chart: PlayerChart, state: PlayerState, wide: float) -> float:
    pictures = TALL + 3 * SMALL * 1.5 + AIR
    words = len(_lines(chart, state, wide)) * WORDS * 1.55
    return max(pictures, words + 2 * AIR) if _beside(chart, state, wide) else pictures + words


def _lines(chart: PlayerChart, state: PlayerState, wide: float) -> list[tuple[str, bool]]:
    room = wide - 2 * AIR - (_pictures_width(chart, state) + 1.0 if _beside(chart, state, wide) else 0.0)
    told = [(line, True) for line in wrap(capital(state.words), WORDS, room, True)]
    return told + [(line, False) for more in (state.hum, state.also) if more for line in wrap(more, WORDS, room)]


def _row(chart: PlayerChart, states: Sequence[PlayerState], wide: float, mirrored: bool) -> Block:
    tall = max(_tall(chart, state, wide) for state in states)

    def marks(at: Point) -> list[Mark]:
        return [_cell(chart, state, Box(left, at.y, left + wide, at.y + tall), mirrored)
                for i, state in enumerate(states) for left in (at.x + i * (wide + AIR),)]

    return Block(tall + AIR / 2, marks)


def _cell(chart: PlayerChart, state: PlayerState, box: Box, mirrored: bool) -> Mark:
    marks: list[Mark] = [Shape((rounded_box(box, 1.0),), Role.PANEL)]
    x = box.left + AIR
    for stand in state.stands:
        marks += _control(stand, x, box.top, mirrored)
        x += _control_width(stand)
    pickups = tuple(reversed(chart.pickups)) if mirrored else chart.pickups
    for look in pickups:
        marks += _pickup(look, state, x, box.top)
        x += _pickup_slot(look)
    inside = _beside(chart, state, box.width)
    left = x + 1.0 if inside else box.left + AIR
    y = box.top + AIR + 1.6 if inside else box.top + TALL + 3 * SMALL * 1.5 + 1.0
    for line, bold in _lines(chart, state, box.width):
        marks.append(Text(line, Point(left, y + WORDS), WORDS, bold=bold))
        y += WORDS * 1.55
    alt = ", ".join(f"{s.name} {s.word}" for s in state.stands)
    return Group(tuple(marks), "position", f"{alt}: {state.words}".removeprefix(": "), Kind.FIGURE)


def _control(stand: Stand, left: float, top: float, mirrored: bool) -> Iterator[Mark]:
    wide = _control_width(stand)
    middle = left + wide / 2 - 0.6
    centre = Point(middle, top + 1.4 + SMALL * 1.5 + TALL / 2)
    from_right = (stand.look == "lever") != (mirrored and stand.look in ("lever", "slide", "ring"))
    inner = tuple(1 - i for i in stand.inner) if mirrored else stand.inner
    yield from control_marks(stand.look, stand.at, stand.count, centre, inner, from_right)
    yield Text(fit(stand.name, SMALL, wide - 0.6), Point(middle, top + 1.4 + SMALL), SMALL, "middle")
    below = Point(middle, centre.y + TALL / 2 + SMALL + 0.6)
    yield Text(fit(stand.word, SMALL, wide - 0.6, True), below, SMALL, "middle", bold=True)


def _pickup(look: PickupLook, state: PlayerState, left: float, top: float) -> Iterator[Mark]:
    wide, slot = pickup_width(len(look.coils), look.strip), _pickup_slot(look) - AIR
    corner = Point(left + (slot - wide) / 2, top + 1.4 + SMALL * 1.5 + (TALL - COIL - 2 * GAP) / 2)
    yield from pickup_marks([name for name, _ in look.coils], look.strip, corner, state.sounding, state.weak)
    yield Text(fit(look.says, SMALL, slot + AIR - 0.3), Point(left + slot / 2, corner.y + COIL + 2 * GAP + SMALL + 0.6),
               SMALL, "middle")


def _key(chart: PlayerChart) -> Iterator[str]:
    """What the pictures mean."""
    said = ["Black bar: this coil sounds. White: it does not."]
    if any(s.weak for s in chart.states):
        said.append("Grey: faintly.")
    two = [p for p in chart.pickups if len(p.coils) > 1]
    for coils in dict.fromkeys(tuple(says for _, says in p.coils) for p in two):
        # Coils that are called by where they lie need no look at the pickup.
        placed = any(word in PLACES for says in coils for word in says.split())
        said.append(f"Bars of one pickup, left to right: {', '.join(coils)}"
                    f"{'' if placed else '; which lies toward the neck, the pickup itself shows'}.")
    words = " ".join(s.words for s in chart.states)
    if "in series" in words:
        said.append("Series: one coil behind the other.")
    if "in parallel" in words:
        said.append("Parallel: side by side.")
    more = chart.sounds - len(chart.states)
    said.append("Each sound once; a control that is not drawn beside it makes no difference to it.")
    if more:
        said.append(f"{more} more sounds are not drawn." if more > 1 else "One more sound is not drawn.")
    yield " ".join(said)
    bats = dict.fromkeys(t.name for s in chart.states for t in s.stands if t.look in ("bat", "slide"))
    if bats:
        yield f"{', '.join(bats)}: lug 1 lies toward ______________________ (to be written in when it is closed)."
