"""The player's page before it is written: pictures, words, and what was found out about every position."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from diagramgen.circuit.coil_words import assumed_words, called
from diagramgen.circuit.hum_words import hum_basis
from diagramgen.circuit.state_table import StateTable
from diagramgen.circuit.switch_effects import Effects
from diagramgen.circuit.tolerances import band_words
from diagramgen.circuit.values import SECTIONS_APART, SOUNDING, tapped, winding_name
from diagramgen.drawing.diagram import Look, draw
from diagramgen.drawing.plot import STEP, Scale, axes
from diagramgen.drawing.scene import Group, Mark, Role, Shape, Sheet
from diagramgen.drawing.view import seen
from diagramgen.features.playerpage import control_pictures as controls
from diagramgen.features.playerpage import control_pictures as pickups
from diagramgen.features.playerpage.compute import Choice, Played, contact, played
from diagramgen.job.output_words import output_words
from diagramgen.job.state_chart import control_changes
from diagramgen.kernel.geometry import Box, Point, moved, polyline
from diagramgen.kernel.units import RESISTANCE, number, quantity
from diagramgen.kernel.version import __version__
from diagramgen.layout.model import PlacedPart
from diagramgen.model.build import Build, Part
from diagramgen.sheets.context import SheetContext
from diagramgen.sheets.frame import JobLine
from diagramgen.sheets.small_drawings import bar

ROOM = 9.0
"""Round the plan for labels, mm."""
NAME, TAG = 3.2, 2.3
"""Capital heights in the diagram, mm: a screen shows it at about full size."""
CHART = Box(0.0, 0.0, 110.0, 62.0)
AREA = Box(11.0, 6.0, 100.0, 54.0)
"""The chart and the area of its curves, mm."""
LEAST_SPAN, MOST_SPAN = 30.0, 50.0
"""dB from the foot of the chart to its top."""
HEADS = ("Position", "Sounds", "Phase", "Hum", "Plug reads", "Resonance")


@dataclass(frozen=True)
class Pickup:
    """A pickup as it is pictured, and its coils: name in the circuit, words."""

    says: str
    coils: tuple[tuple[str, str], ...]
    picture: Sheet


@dataclass(frozen=True)
class PlayerPage:
    """All of the page, in words and pictures."""

    job: JobLine
    warning: str
    played: Played
    order: tuple[tuple[str, int], ...]
    """In what order controls are shown: ``control`` or ``knob`` and its number."""
    control_pictures: tuple[Sheet, ...]
    knob_pictures: tuple[Sheet, ...]
    pickups: tuple[Pickup, ...]
    diagram: Sheet
    chart: Sheet
    scale: Scale
    heads: tuple[str, ...]
    table: tuple[tuple[str, ...], ...]
    """Every position on the page with the knobs at rest."""
    hints: tuple[str, ...]
    """How the page is to be used, and what pulls, pushes and buttons change, beside the controls."""
    notes: tuple[str, ...]
    """What it rests on."""
    version: str = __version__


def player_page(context: SheetContext, found: StateTable, asked: Sequence[Mapping[str, str]] = ()) -> PlayerPage:
    """The page of a build that was solved; ``asked``: only these positions."""
    build = found.build
    made = played(build, found, [one.lead for one in context.layout.leads], asked)
    scale = _scale(made)
    return PlayerPage(
        context.job, context.warning, made, _order(made, list(build.parts)),
        tuple(_switch_picture(build, c) for c in made.controls),
        tuple(controls.knob(c.says, c.turns) for c in made.knobs), tuple(_pickups(build)),
        _diagram(context, made), _chart(made, scale), scale, HEADS, tuple(_table(made)),
        (*_hints(made), *control_changes(Effects(found))),
        tuple(_notes(found)),
    )


def _order(made: Played, parts: Sequence[str]) -> tuple[tuple[str, int], ...]:
    """Switches as the file lists them, knobs with what is pulled on them, then what is held and the plug."""
    def place(pair: tuple[str, int]) -> int:
        return parts.index((made.controls if pair[0] == "control" else made.knobs)[pair[1]].part)

    knobbed = {knob.part for knob in made.knobs}
    alone = [("control", i) for i, c in enumerate(made.controls) if c.kind == "switch" and c.part not in knobbed]
    turned = [("knob", i) for i in range(len(made.knobs))]
    turned += [("control", i) for i, c in enumerate(made.controls) if c.kind == "switch" and c.part in knobbed]
    rest = [("control", i) for i, c in enumerate(made.controls) if c.kind != "switch"]
    return tuple(one for group in (alone, turned, rest) for one in sorted(group, key=place))


def _switch_picture(build: Build, choice: Choice) -> Sheet:
    """The control as it looks, by what kind of part it is."""
    symbol = build.parts[choice.part].symbol
    digit = choice.digit
    count = len(choice.words)
    if choice.kind == "plug":
        return controls.plug(choice.says, choice.words)
    if choice.kind == "momentary":
        return controls.button(choice.says, count)
    if any(c.kind == "knob" for c in symbol.controls) and count == 2:
        raised = [p[0] in ("up", "pulled") for p in digit.positions] if digit is not None else []
        return controls.pull(choice.says, raised if any(raised) and not all(raised) else [False, True])
    if digit is not None and digit.inner:
        return controls.slide(choice.says, [_inner(build, digit.inner[i]) for i in range(count)])
    return controls.switch(choice.says, symbol.family, count)


def _inner(build: Build, pairs: Iterable[tuple[str, str]]) -> list[tuple[int, int]]:
    """Where each of several slides stands for one word."""
    found = []
    for key, position in pairs:
        part, _, name = key.partition(".")
        control = build.parts[part].symbol.control(name)
        places = control.positions if control is not None else ()
        found.append((places.index(position) if position in places else 0, max(1, len(places))))
    return found


def _pickups(build: Build) -> Iterable[Pickup]:
    for part in build.parts.values():
        own = [e for e in part.symbol.elements if e.kind in SOUNDING]
        if not own:
            continue
        mine = list(dict.fromkeys(winding_name(part, e) for e in own))
        words = [(e.says or e.name) if len(mine) > 1 else called(part) for e in own][:len(mine)]
        coiled = own[0].kind == "coil"
        picture = pickups.pickup(called(part), mine, _poles(part, len(mine))) if coiled else pickups.strip(
            called(part), mine[0])
        yield Pickup(called(part), tuple(zip(mine, words, strict=True)), picture)


def _poles(part: Part, coils: int) -> int:
    """Pole pieces of one coil, as the symbol draws them."""
    discs = sum(1 for figure in part.symbol.drawing.details if figure.form == "disc")
    return discs // max(1, coils)


def _diagram(context: SheetContext, made: Played) -> Sheet:
    """The plan at full size, every lead with a band under it that is shown where it is lit."""
    box = context.layout.box.grown(ROOM)
    layout = seen(context.layout, moved(Point(-box.left, -box.top)))
    look = Look(name_height=NAME, small_height=TAG, lug_names=False, values=False, ends=context.glance.ends)
    frame = Box(0.5, 0.5, box.width - 0.5, box.height - 0.5)
    marks = list(draw(layout, context.roles, look, frame).marks)
    paths = {f"lead:{one.lead.tag}": one.path for one in layout.leads}
    bands = [Shape((path,), Role.CURVE, f"band:{context.partition(':')[2]}") for context, path in paths.items()]
    first = next((i for i, m in enumerate(marks) if isinstance(m, Group) and m.subject in paths), len(marks))
    rings = {f"part:{ring.subject.partition(':')[2]}": ring for ring in _rings(layout.parts.values())}
    shown = [_with_ring(_silent(mark), rings) for mark in marks]
    lugs = {lug.key: lug.at for part in layout.parts.values() for lug in part.lugs.values()}
    all_marks = (*shown[:first], *bands, *shown[first:], *_contacts(made, lugs))
    return Sheet(box.width, box.height, "wiring diagram", (Group(all_marks, "diagram"),))


def _silent(mark: Mark) -> Mark:
    """The mark without words for a reader who hears it: the page says it all at once."""
    if isinstance(mark, Group):
        return replace(mark, alt="", kind="", children=tuple(_silent(child) for child in mark.children))
    return mark


def _with_ring(mark: Mark, rings: Mapping[str, Shape]) -> Mark:
    """A pickup's group with the ring that is shown beneath it where it sounds."""
    if isinstance(mark, Group) and mark.subject in rings:
        return replace(mark, children=(rings[mark.subject], *mark.children))
    return mark


def _contacts(made: Played, lugs: Mapping[str, Point]) -> Iterable[Mark]:
    """A bar over each contact that some position closes."""
    named = {name for light in made.lights for name in (*light.carrying, *light.idle)}
    for name in sorted(named):
        a, b = name.split("|")
        if a in lugs and b in lugs and lugs[a].distance(lugs[b]) > 0.5:
            yield Shape((bar(lugs[a], lugs[b], 0.8),), Role.ARROW, f"contact:{contact(a, b)}")


def _rings(parts: Iterable[PlacedPart]) -> Iterable[Shape]:
    """The outline of each pickup, to be stroked wide."""
    for placed in parts:
        if any(e.kind in SOUNDING for e in placed.part.symbol.elements):
            yield Shape(tuple(zone.outline for zone in placed.body), Role.CURVE, f"sounds:{placed.part.name}")


def _scale(made: Played) -> Scale:
    levels = [level / 10 for one in made.outcomes for level in one.curve]
    high = STEP * -(-(max(levels, default=0.0) + 1.0) // STEP)
    low = STEP * (min(levels, default=-STEP) // STEP)
    return Scale(AREA, max(high - MOST_SPAN, min(low, high - LEAST_SPAN)), high)


def _chart(made: Played, scale: Scale) -> Sheet:
    """Axes, and two curves to be filled: as picked, and with the knobs at rest."""
    nothing = polyline([Point(AREA.left, AREA.bottom), Point(AREA.right, AREA.bottom)])
    curves = (Shape((nothing,), Role.CURVE, "curve:rest"), Shape((nothing,), Role.CURVE, "curve:picked"))
    return Sheet(CHART.width, CHART.height, "response", (*axes(scale), *curves))


def _table(made: Played) -> Iterable[tuple[str, ...]]:
    for title, row in zip(made.titles, made.of_state, strict=True):
        one = made.outcomes[made.rows[row][0][0]]
        yield title, one.says, one.phase, one.hum, one.reads, one.peak
        yield from ((title, f"{other.at}: {other.says}", other.phase, other.hum, other.reads, other.peak)
                    for other in one.others)


def _hints(made: Played) -> Iterable[str]:
    if made.chosen:
        yield (f"This instrument has {made.states} positions with {made.networks} different connections; this page "
               f"shows {len(made.titles)} chosen ones.")
    if made.alone and made.knobs:
        yield "Knobs are shown one at a time: turning one puts the others back to rest."
    if made.knobs:
        yield "Knobs stand only at the numbers shown: those were solved."


def _notes(found: StateTable) -> Iterable[str]:
    load = found.build.load
    cable = number(load.cable_length / 1000 * load.cable_capacitance * 1e12, 0)
    plug = "on every plug that is in," if found.several else "a mono plug,"
    yield (f"Worked out with {plug} a cable of {cable} pF and an amplifier of "
           f"{quantity(load.amplifier, RESISTANCE)}{' (both assumed)' if load.assumed else ''}.")
    if found.several:
        main = output_words(found.build, found.outputs[0], found.outputs)
        yield f"The curve is that of {main}, or where nothing is heard there of the first other output that sounds."
    yield ("Curves: what the amplifier gets for the same signal in every coil; phase is said in words. The place of a "
           "pickup under the string is not counted, nor how coils work on each other.")
    yield band_words(found.build)
    if tapped(found.build):
        yield SECTIONS_APART
    basis = hum_basis(one.sound for r in found.results for one in r.heard)
    if basis:
        yield basis
    if found.assumed:
        yield f"Typical values, because nobody gave them: {assumed_words(found.assumed, found.build)}."
