"""The card to lay beside a cavity when it is photographed: ringed marks at known places, bars to check the print."""

from __future__ import annotations

from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Sheet, Text
from diagramgen.features.trace.card_marks import ACROSS, DOWN, radii
from diagramgen.kernel.geometry import Box, Point, circle, polyline, rounded_box
from diagramgen.kernel.paper import Paper
from diagramgen.lettering import wrap
from diagramgen.sheets.frame import JobLine, framed
from diagramgen.sheets.scale_marks import bar, upright_bar

EDGE = 11.0
"""Paper left round the middles of the marks when the card is cut out, mm."""
LETTERS = 2.4
ADVICE = (
    "Print at 100 %. Measure from middle to middle of the marks with a steel rule: across 160 mm, down 100 mm. If they "
    "are otherwise, say so: --card-measures 159.6x99.8.",
    "Cut out along the line and lay the card flat on the wood beside the opened cavity, level with its rim. A card "
    "that bends, or lies deeper than the rim, gives a wrong outline.",
    "Take the photograph from 400 mm or farther, as straight from above as the light allows, with the cavity and all "
    "four marks in the middle half of the picture. Zoom in rather than go near.",
    "Light the wood evenly and leave the cavity in shadow: the rim must be a sharp step from bright to dark. No flash, "
    "no glare on the card.",
    "Then: diagramgen trace photo.jpg --sheet card --out sheets",
)


def trace_card(paper: Paper) -> Sheet:
    """The card on one upright sheet, with how it is used below it."""
    job = JobLine("card", "card for measuring a cavity from a photograph", "", "", "", "", "", "")
    page = framed(paper, job, "full size", None, 1, 1)
    room = page.room
    first = Point(room.centre.x - ACROSS / 2, room.top + 8 + EDGE)
    card = Box(first.x - EDGE, first.y - EDGE, first.x + ACROSS + EDGE, first.y + DOWN + EDGE)
    marks: list[Mark] = [Shape((rounded_box(card, 0),), Role.CROP, "cut")]
    for i, (place, rings) in enumerate(radii()):
        at = first.plus(place)
        marks.append(Shape(tuple(circle(at, r) for r in rings), Role.SOLID, f"mark:{i + 1}"))
    middle = Point(first.x + (ACROSS - 100) / 2, first.y + DOWN / 2 + 4)
    marks.append(bar(middle))
    marks.append(upright_bar(Point(first.x + 18, first.y + DOWN + 5)))
    marks.append(Text("lay level with the rim", Point(first.x + ACROSS / 2, first.y + DOWN / 2 - 16), 3.0, "middle",
                      bold=True, role=Role.SCALE_TEXT))
    marks.append(Text("marks 160 × 100 mm, middle to middle", Point(first.x + ACROSS / 2, first.y + DOWN / 2 + 16), 2.5,
                      "middle", role=Role.SCALE_TEXT))
    text = _advice(card.bottom + 12, room)
    alt = "card with four ringed marks, 160 by 100 mm apart, and bars of 100 mm"
    return Sheet(paper.width, paper.height, "card for measuring a cavity",
                 (*page.marks, Group(tuple(marks), "card", alt, Kind.FIGURE), *text), "trace-card")


def _advice(top: float, room: Box) -> list[Mark]:
    marks: list[Mark] = [Text("How it is used", Point(room.left + 10, top), 3.0, bold=True)]
    y = top + 3.5
    for n, words in enumerate(ADVICE):
        lines = wrap(words, LETTERS, room.width - 26)
        marks.append(Text(f"{n + 1}", Point(room.left + 10, y + 4), LETTERS, bold=True))
        for line in lines:
            y += 4.0
            marks.append(Text(line, Point(room.left + 16, y), LETTERS))
        y += 2.2
    marks.append(Shape((polyline([Point(room.left + 10, top + 1.8), Point(room.right - 10, top + 1.8)]),),
                       Role.TABLE_RULE))
    return marks
