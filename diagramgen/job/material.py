"""The buying list: every part with what must match, and wire and sleeve by length; what stays and what comes out.

Figures come from the build where it gives them, else from the symbol, and are told apart: a typical measure is no
order.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from diagramgen.job.changes import Changes
from diagramgen.job.changes import counts as counts_of
from diagramgen.job.cut_plan import CutList, cut_lists
from diagramgen.job.lead_list import joints
from diagramgen.job.lead_row import LeadRow
from diagramgen.job.part_changes import PartChange, made_at_bench, value_words, values_in_words
from diagramgen.job.preparation import air_joints
from diagramgen.kernel.colours import LeadColour
from diagramgen.kernel.diagnostics import Location
from diagramgen.kernel.units import number
from diagramgen.layout.model import Layout
from diagramgen.library.expressions import Sum
from diagramgen.library.outline_size import shape_of
from diagramgen.model.build import Build, Part

WORTH = {"track": "resistance", "capacitor": "capacitance", "resistor": "resistance", "cell": "voltage",
         "coil": "resistance"}
"""Element -> the value of it that a part is bought by."""


@dataclass(frozen=True)
class Figure:
    """A measure or value of a part as far as it is known."""

    words: str = ""
    """Empty: does not apply."""
    typical: bool = False
    """Taken from the symbol: nobody measured or chose it."""
    blank: bool = False
    """It applies, and nothing is known: to be filled in."""


NONE, BLANK = Figure(), Figure(blank=True)


@dataclass(frozen=True)
class Specs:
    """What must match when a part is bought; lengths in mm."""

    symbol: str
    kind: str
    value: Figure
    taper: Figure
    shaft: Figure
    bushing: Figure
    thread: Figure
    needs: Figure
    """The thread that wood, washers and nut take up."""
    bore: Figure
    hole: Figure


@dataclass(frozen=True)
class PartLine:
    """Equal parts of one fate."""

    fate: str
    """buy | stays | out."""
    specs: Specs
    parts: tuple[Part, ...]
    replaces: tuple[str, ...]
    """What comes out in the place of each, in words; none where nothing did."""
    place: Location = field(compare=False)

    @property
    def quantity(self) -> int:
        """How many."""
        return len(self.parts)

    @property
    def says(self) -> str:
        """What they are for."""
        return ", ".join(p.says for p in self.parts)


@dataclass(frozen=True)
class StockLine:
    """Wire or sleeve by length, mm."""

    says: str
    colour: LeadColour | None
    gauge: int | None
    pieces: int
    mm: Decimal
    """All pieces together, without waste."""
    unmeasured: tuple[str, ...] = ()
    """Tags whose length is only known on the instrument."""

    @property
    def keys(self) -> tuple[str, ...]:
        """Names under which a price file may price it, the most exact first."""
        gauge = f", {self.gauge} awg" if self.gauge is not None else ""
        colour = f", {self.colour.word}" if self.colour is not None else ""
        return tuple(dict.fromkeys(f"{self.says.lower()}{end}" for end in (gauge + colour, gauge, colour, "")))


@dataclass(frozen=True)
class Counted:
    """What labour is counted by."""

    joints_opened: int
    joints: int
    leads_out: int
    leads_moved: int
    leads: int
    parts_out: int
    parts: int

    def of(self, key: str) -> int:
        """The count behind a key of the price file's ``labour``."""
        return int(getattr(self, {"joint opened": "joints_opened", "joint": "joints", "lead out": "leads_out",
                                  "lead moved": "leads_moved", "lead": "leads", "part out": "parts_out",
                                  "part": "parts"}[key]))


@dataclass(frozen=True)
class BuyingList:
    """Everything a job takes."""

    parts: tuple[PartLine, ...]
    stock: tuple[StockLine, ...]
    counted: Counted
    compared: bool
    """Whether the state as found is known; otherwise every part of the build is listed as to buy."""

    def parts_that(self, fate: str) -> tuple[PartLine, ...]:
        """Lines of one fate."""
        return tuple(line for line in self.parts if line.fate == fate)


def buying_list(layout: Layout, rows: Sequence[LeadRow], changes: Changes | None) -> BuyingList:
    """What to buy for a build; with ``changes`` only what comes in, beside what stays and what comes out."""
    build = layout.build
    return BuyingList(tuple(_grouped(build, changes)), (*_wire(rows, changes), *_sleeves(layout, changes)),
                      counted(build, changes), changes is not None)


def counted(build: Build, changes: Changes | None) -> Counted:
    """Joints, leads and parts: those that are changed, or all of a build begun from nothing."""
    if changes is not None:
        n = counts_of(changes)
        return Counted(n.joints_opened, n.joints_made, n.leads_out, n.leads_moved, n.leads_in, n.parts_out, n.parts_in)
    leads = sum(lead.is_wire and not lead.reused for lead in build.leads)
    parts = sum(not made_at_bench(part) for part in build.parts.values())
    return Counted(0, len(joints(build)), 0, 0, leads, 0, parts)


def _grouped(build: Build, changes: Changes | None) -> Iterator[PartLine]:
    groups: dict[tuple[str, Specs, str, str], list[tuple[Part, str]]] = {}
    for fate, part, replaces, of in _fates(build, changes):
        if made_at_bench(part):
            continue  # its sleeve is on the list by length
        # Parts with a remark of their own are ordered by themselves.
        key = (fate, specs(part, of), part.note, values_in_words(part))
        groups.setdefault(key, []).append((part, replaces))
    for (fate, found, _, _), members in groups.items():
        parts = tuple(part for part, _ in members)
        yield PartLine(fate, found, parts, tuple(r for _, r in members if r), parts[0].place)


def _fates(build: Build, changes: Changes | None) -> Iterator[tuple[str, Part, str, Build]]:
    if changes is None:
        yield from (("buy", part, "", build) for part in build.parts.values())
        return
    for one in changes.parts:
        if one.what == "out" and one.found is not None:
            yield "out", one.found, "", changes.found
        elif one.left is not None:
            yield ("buy" if one.what in ("in", "replaced") else "stays"), one.left, _replaced(one), build
    # A part under whose name another goes in comes out as well.
    yield from (("out", one.found, "", changes.found) for one in changes.parts_that("replaced") if one.found)


def _replaced(change: PartChange) -> str:
    if change.what != "replaced" or change.found is None:
        return ""
    return f"{change.found.says}: {values_in_words(change.found)}"


def specs(part: Part, build: Build) -> Specs:
    """What must match of a part."""
    symbol, shape, m = part.symbol, shape_of(part.symbol, part.dimensions), part.symbol.mounting
    turns = any(c.kind in ("knob", "trimmer") for c in symbol.controls)
    bore = NONE
    if shape.shaft > 0 and turns:
        bore = BLANK if part.knob_bore is None else Figure(number(part.knob_bore, 2))
    return Specs(
        symbol.name, symbol.kind, _values(part, WORTH), _values(part, {"track": "law"}),
        _measure(part, shape.shaft, m.shaft), _measure(part, shape.bushing, m.bushing),
        _measure(part, shape.thread, m.thread), _needs(part, build), bore, _hole(part),
    )


def _values(part: Part, wanted: dict[str, str]) -> Figure:
    """The values of one kind of all elements of a part, alike ones once; of several coils their sum as well."""
    typical = part.symbol.values
    coils = [e.values.get("resistance", "") for e in part.symbol.elements if e.kind == "coil"]
    if len(coils) > 1 and "coil" in wanted:
        found = _coils(part, coils)
        if found is not None:
            return found
    names = [e.values[wanted[e.kind]] for e in part.symbol.elements if wanted.get(e.kind) in e.values]
    names = list(dict.fromkeys(names))
    if not names:
        return NONE
    words = [(_spoken(part.values[n]), False) if n in part.values else (_spoken(typical[n].value), True) for n in names]
    known = list(dict.fromkeys((word, usual) for word, usual in words if word))
    if not known:
        return BLANK
    if all(usual for _, usual in known):
        return Figure(" ".join(word for word, _ in known), typical=True)
    return Figure(" ".join(f"({word})" if usual else word for word, usual in known))


def _coils(part: Part, names: Sequence[str]) -> Figure | None:
    """What a pickup of several coils reads in series, as makers list it, and each coil; None where one is not known.

    A buyer who is told one coil's value alone orders a pickup of half the winding.
    """
    ohms: list[tuple[float, bool]] = []
    for name in names:
        typical = name not in part.values
        value = part.values.get(name, part.symbol.values[name].value if name in part.symbol.values else None)
        if value is None or isinstance(value, str):
            return None
        ohms.append((value, typical))
    total, usual = value_words(sum(one for one, _ in ohms)), {typical for _, typical in ohms}
    whole = "in all" if "tap" in part.symbol.lug_names() else "in series"
    if len(set(ohms)) == 1:
        return Figure(f"{total} {whole}, {value_words(ohms[0][0])} a coil", usual == {True})
    if len(usual) == 1:
        return Figure(f"{total} {whole}: {' + '.join(value_words(one) for one, _ in ohms)}", usual == {True})
    each = " + ".join(f"({value_words(one)})" if typical else value_words(one) for one, typical in ohms)
    return Figure(f"({total}) {whole}: {each}")


def _spoken(value: float | str | None) -> str:
    words = "" if value is None else value_words(value)
    return "table" if ":" in words or len(words) > 20 else words


def _measure(part: Part, mm: float, of: Sum) -> Figure:
    return Figure(number(mm, 2), not set(of.names) & set(part.dimensions)) if mm > 0 else NONE


def _needs(part: Part, build: Build) -> Figure:
    """Wood, washers and nut, mm: the least thread that holds the part."""
    shape, cavity = shape_of(part.symbol, part.dimensions), build.cavities.get(part.cavity)
    plate = cavity.plate.thickness if cavity is not None and cavity.plate is not None else None
    wood = next((w for w in (part.wood, cavity.wood if cavity is not None else None, plate) if w is not None), None)
    if shape.thread <= 0 or part.symbol.mounting.side != "wood":
        return NONE
    return BLANK if wood is None else Figure(number(wood + shape.washers + shape.nut))


def _hole(part: Part) -> Figure:
    shape, m = shape_of(part.symbol, part.dimensions), part.symbol.mounting
    if m.side != "wood" or part.through:
        return NONE
    if shape.slot and m.slot:
        names = {*m.slot[0].names, *m.slot[1].names}
        w, h = shape.slot
        return Figure(f"slot {number(w)} × {number(h)}", not names & set(part.dimensions))
    return _measure(part, shape.hole, m.hole)


def _wire(rows: Sequence[LeadRow], changes: Changes | None) -> Iterator[StockLine]:
    if changes is not None:
        new = {one.left.tag for one in changes.leads_that("comes", "renewed") if one.left is not None}
        rows = [row for row in rows if row.tag in new]
    for one in cut_lists(rows):
        yield StockLine(one.kind_says, one.colour, one.gauge, sum(len(pieces) for pieces in one.lengths),
                        _together(one), one.unmeasured)


def _together(one: CutList) -> Decimal:
    """The sum of the pieces as they are printed, mm."""
    return sum((Decimal(number(p.mm)) for pieces in one.lengths for p in pieces), Decimal(0))


def _sleeves(layout: Layout, changes: Changes | None) -> Iterable[StockLine]:
    made = None if changes is None else {str(end) for end in changes.made}
    found: dict[str, tuple[int, float]] = {}
    for joint in air_joints(layout):
        sleeve = joint.sleeve
        if sleeve is not None and (made is None or joint.lug in made):
            says = f"shrink sleeve {sleeve.ratio}, {number(sleeve.before)} to {number(sleeve.after)} mm"
            count, mm = found.get(says, (0, 0.0))
            found[says] = (count + 1, mm + math.ceil(sleeve.length))
    return [StockLine(says, None, None, n, Decimal(number(mm))) for says, (n, mm) in found.items()]
