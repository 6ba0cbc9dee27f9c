"""Below and through the wood: depth of the cavity, thread and nut, knob on shaft, the opening of a body.

Holds for every part whose cavity gives the figure, whether its place was measured or not.
"""

from __future__ import annotations

from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.kernel.units import number
from diagramgen.layout.codes import (
    FIT_309,
    FIT_310,
    FIT_311,
    FIT_312,
    FIT_313,
    FIT_314,
    FIT_315,
    FIT_316,
    FIT_318,
    FIT_319,
)
from diagramgen.layout.fit.limits import (
    BORE_LOOSE,
    BORE_TIGHT,
    ROUNDING,
    SOLDER_ROOM,
    SOLDER_ROOM_EASY,
    STANDS_OFF,
)
from diagramgen.layout.fit.solids import is_loose, where
from diagramgen.layout.model import Layout, PlacedPart
from diagramgen.model.build import Cavity, Part


def check_depths(layout: Layout, say: Diagnostics) -> None:
    """Depth, thread, knob and opening of every part."""
    unmeasured: dict[str, Cavity] = {}
    for placed in layout.parts.values():
        part = placed.part
        cavity = layout.build.cavities.get(part.cavity)
        _knob(placed, say)
        if cavity is None or is_loose(placed) or placed.outside:
            continue
        if cavity.depth is not None:
            _depth(placed, cavity, cavity.depth, say)
        elif cavity.outline is not None:
            unmeasured[cavity.name] = cavity
        _thread(placed, cavity, say)
        _hole(placed, say)
        _opening(placed, cavity, say)
    for cavity in unmeasured.values():
        say.add(FIT_309, cavity.place,
                f"the depth of {cavity.says or cavity.name} is not given: no depth was checked")


def _at(part: Part, *keys: str) -> Location:
    return next((part.places[k] for k in keys if k in part.places), part.place)


def _depth(placed: PlacedPart, cavity: Cavity, depth: float, say: Diagnostics) -> None:
    """Deepest body or lug, then the room for solder and leads, against the depth without the cover."""
    need, free = placed.shape.depth, depth - cavity.cover
    if need <= ROUNDING:
        return
    less = f" less {number(cavity.cover)} mm of cover" if cavity.cover else ""
    space = f"a {number(depth)} mm cavity{less}"
    moves = max((z.high for z in placed.keep_clear), default=0.0)
    if moves - free > ROUNDING and need - free <= ROUNDING:
        say.add(FIT_310, where(placed),
                f"{placed.part.name} needs {number(moves)} mm to move (or for its plug) in {space}: "
                f"{number(moves - free)} mm short", "Mount it where its plug or leaf has room.")
    if need - free > ROUNDING:
        say.add(FIT_310, where(placed),
                f"{placed.part.name} is {number(need)} mm deep in {space}: {number(need - free)} mm short, "
                "before solder and leads")
        return
    room = free - need
    if room < SOLDER_ROOM - ROUNDING:
        say.add(FIT_311, where(placed),
                f"{placed.part.name} is {number(need)} mm deep in {space}: {number(room)} mm left for "
                f"solder and leads, {number(SOLDER_ROOM - room)} mm short of {number(SOLDER_ROOM)} mm")
    elif room < SOLDER_ROOM_EASY - ROUNDING:
        say.add(FIT_311.at(Severity.NOTE), where(placed),
                f"{placed.part.name} leaves {number(room)} mm for solder and leads in {space}",
                f"{number(SOLDER_ROOM)} to {number(SOLDER_ROOM_EASY)} mm are wanted: keep its joints flat.")


def _thread(placed: PlacedPart, cavity: Cavity, say: Diagnostics) -> None:
    """Thread must pass wood, washers and nut; much more than that and the knob stands off."""
    shape, part = placed.shape, placed.part
    plate = cavity.plate.thickness if cavity.plate else None
    wood = next((w for w in (part.wood, cavity.wood, plate) if w is not None), None)
    if shape.thread <= 0 or wood is None or part.symbol.mounting.side != "wood":
        return
    need = wood + shape.washers + shape.nut
    sizes = (f"Thread {number(shape.thread)}, wood {number(wood)}, washers {number(shape.washers)}, "
             f"nut {number(shape.nut)}")
    if need - shape.thread > ROUNDING:
        say.add(FIT_312, _at(part, "wood above", "at"),
                f"{part.name}: {sizes}: {number(need - shape.thread)} mm short")
    elif shape.shaft > 0 and shape.thread - need > STANDS_OFF:
        say.add(FIT_313, _at(part, "wood above", "at"),
                f"{part.name}: {sizes}: {number(shape.thread - need)} mm of thread stand above the nut, "
                "so a knob stands off")


def _hole(placed: PlacedPart, say: Diagnostics) -> None:
    """The hole as it is (a measure of the part's in the file) against the bushing."""
    hole, bushing, part = placed.shape.hole, placed.shape.bushing, placed.part
    if 0 < hole < bushing - ROUNDING:
        say.add(FIT_316, _at(part, "dimensions", "at"),
                f"the hole for {part.name} is {number(hole)} mm, its bushing {number(bushing, 2)} mm: "
                f"{number(bushing - hole, 2)} mm short")


def _knob(placed: PlacedPart, say: Diagnostics) -> None:
    bore, shaft, part = placed.part.knob_bore, placed.shape.shaft, placed.part
    if bore is None or shaft <= 0:
        return
    sizes = f"a knob with a {number(bore, 2)} mm bore on the {number(shaft, 2)} mm shaft of {part.name}"
    if shaft - bore > BORE_TIGHT:
        say.add(FIT_314, _at(part, "knob bore"), f"{sizes}: {number(shaft - bore, 2)} mm too tight")
    elif bore - shaft > BORE_LOOSE:
        say.add(FIT_315, _at(part, "knob bore"), f"{sizes}: {number(bore - shaft, 2)} mm too wide")


def _opening(placed: PlacedPart, cavity: Cavity, say: Diagnostics) -> None:
    """Whether a part can be fished through the opening of a body without a control cavity."""
    if cavity.opening is None:
        return
    local = [p for z in placed.shape.body for p in z.outline.flat()]
    local += [g.at for g in placed.shape.lugs.values()]
    if not local:
        return
    xs, ys = [p.x for p in local], [p.y for p in local]
    sizes = sorted((max(xs) - min(xs), max(ys) - min(ys), placed.shape.depth))
    name, width = placed.part.name, number(cavity.opening)
    if sizes[0] - cavity.opening > ROUNDING:
        say.add(FIT_318, where(placed),
                f"{name} is {number(sizes[0])} mm at its thinnest, the opening {width} mm wide: "
                f"{number(sizes[0] - cavity.opening)} mm short")
    elif sizes[1] - cavity.opening > ROUNDING:
        say.add(FIT_319, where(placed),
                f"{name} goes through the {width} mm opening only edgewise ({number(sizes[0])} by "
                f"{number(sizes[1])} mm)")
