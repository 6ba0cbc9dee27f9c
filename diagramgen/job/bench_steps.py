"""The order of work as lines for the bench: what to do, at which lug, with what, and a short reason."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagramgen.circuit.coil_words import and_list, capital
from diagramgen.job.lead_list import joints
from diagramgen.job.lead_row import LeadRow
from diagramgen.job.order import GROUPS, Before, Order, Ordered, Step
from diagramgen.job.stage_checks import StageCheck
from diagramgen.job.words import end_words, is_pickup, lug_kind
from diagramgen.kernel.units import number
from diagramgen.layout.global_routing.global_route import legs
from diagramgen.layout.model import Layout
from diagramgen.model.build import Build, End, Lead

SHORT = {
    "reach": "no iron reaches it later",
    "cut": "before it is soldered",
    "tin": "while it is loose and draws no heat",
    "outside": "outside there is light and room",
    "deep": "deeper lugs before those over them",
    "fixed": "parts fixed first: lengths are true",
    "pickups": "thin conductors last",
    "heat": "case heat before what it could cook",
    "stage": "",
}
"""The rules of the order in few words."""
DOING = {"solder": "soldering", "tin": "tinning", "fix": "fixing", "fit": "fitting", "cut": "cutting the wires of"}
HEED = {
    "reach": "little room for the iron, so mask what lies round it",
    "cut": "look at its length and its strip first",
    "tin": "it draws heat there, so take the wide tip",
    "outside": "mask what lies round it",
    "deep": "it lies deeper, so take a long thin tip and hold a slip of card before the lugs over it",
    "fixed": "leave these long until then",
    "pickups": "thin conductors are in by then, so keep iron and pull off them",
    "heat": "clip a heat sink on what it could cook; wide tip, 4 seconds at most",
    "stage": "",
}
"""How what is there already is shielded from a step that comes late (common practice, no source)."""

SPARE = "the rest coiled under a tie, unless it is to be cut"
"""What becomes of a pickup's own cable beyond what is needed: it may be swapped or sold (common practice)."""


@dataclass(frozen=True)
class Line:
    """One thing to do, ready to be ticked."""

    do: str
    where: str
    what: str
    why: str
    subject: str = ""


@dataclass(frozen=True)
class BenchGroup:
    """Lines up to a stop, and what to meter there; None where nothing can be metered."""

    says: str
    lines: tuple[Line, ...]
    stop: StageCheck | None


def bench_groups(
    layout: Layout, order: Order, rows: Sequence[LeadRow], stops: Sequence[StageCheck]
) -> list[BenchGroup]:
    """The order of work parted at its stops."""
    words = _Words(layout, {r.tag: r for r in rows})
    by_group = {stop.group: stop for stop in stops if any(r.reading.kind != "not meaningful" for r in stop.readings)}
    found: list[BenchGroup] = []
    lines: list[Line] = []
    group = ""
    for one in order.steps:
        if one.step.kind == "check":
            if lines:
                found.append(BenchGroup(GROUPS[one.step.group], tuple(lines), by_group.get(one.step.group)))
            lines = []
            continue
        group = one.step.group
        lines += words.lines(one)
    if lines:
        found.append(BenchGroup(GROUPS[group], tuple(lines), None))
    return found


class _Words:
    """Steps of one build in shop words."""

    def __init__(self, layout: Layout, rows: Mapping[str, LeadRow]) -> None:
        self.build = layout.build
        self.rows = rows
        self.leads = {lead.tag: lead for lead in (*legs(self.build), *self.build.leads)}
        self.ends = {(j.key, e.tag): e.says for j in joints(self.build) for e in j.ends}
        self.done: dict[str, int] = {}
        self.long: set[str] = set()
        """Wires soldered at one end and not cut yet: their part goes where no iron reaches."""
        self.cut: set[str] = set()

    def lines(self, one: Ordered) -> Iterator[Line]:
        step, why = one.step, SHORT[one.rule]
        if step.kind == "tin":
            yield Line("scratch, tin", lug_words(self.build, step.lug), "", why, f"lug:{step.lug}")
        elif step.kind == "fix":
            yield Line("fix", f"on the plate or jig: {step.key}", part_list(self.build, step.parts), why)
        elif step.kind == "fit":
            yield self._fit(step, why)
        elif step.kind == "cut":
            yield from self._cut(step, why)
        else:
            yield self._solder(step, why)

    def _fit(self, step: Step, why: str) -> Line:
        if len(step.parts) == 1 and any(e.kind == "cell" for e in self.build.parts[step.parts[0]].symbol.elements):
            return Line("fit", f"{part_list(self.build, step.parts)}: its place and clip",
                        "the battery itself goes in after the last stop", why, f"part:{step.parts[0]}")
        if len(step.parts) == 1:
            return Line("fit", part_list(self.build, step.parts), "", why, f"part:{step.parts[0]}")
        return Line("fit", f"harness into {step.key}", part_list(self.build, step.parts), why)

    def _cut(self, step: Step, why: str) -> Iterator[Line]:
        """New wire, conductors that come with a part, and kept leads are three different things to do."""
        kinds: dict[str, list[str]] = {}
        for tag in step.tags:
            row = self.rows[tag]
            do = ("kept: clean, tin" if row.reused else "strip, tin" if is_pickup(self.build, row.cut.owner)
                  else "trim, strip, tin" if row.kind_says.startswith("conductor of")
                  else "cut the free end" if tag in self.long else "cut, strip, tin")
            kinds.setdefault(do, []).append(cut_words(row))
        self.cut |= set(step.tags)
        for do, said in kinds.items():
            if do == "strip, tin":
                yield Line(do, "needs at least, mm (strip)", f"{'; '.join(said)}; {SPARE}", why)
            else:
                yield Line(do, "mm (strip at each end)" if do != "kept: clean, tin" else "ends", "; ".join(said), why)

    def _solder(self, step: Step, why: str) -> Line:
        self.done[step.lug] = self.done.get(step.lug, 0) + 1
        new = [t for t in step.tags if self.leads[t].is_wire and t not in self.cut and not self.rows[t].reused]
        self.long |= set(new)
        again = "has a joint: hold what is in it; " if self.done[step.lug] > 1 else ""
        what = "; ".join(self._goes_in(step.lug, tag) for tag in step.tags)
        part, _, name = step.lug.partition(".")
        kind = lug_kind(self.build, End(part, name, self.build.parts[part].place))
        sleeved = kind == "sleeve" or any(self.leads[t].kind == "sleeved" for t in step.tags)
        do = "join, sleeve" if sleeved else "clamp" if kind == "screw" else "solder"
        return Line(do, lug_words(self.build, step.lug), again + what, why, f"lug:{step.lug}")

    def _goes_in(self, lug: str, tag: str) -> str:
        lead = self.leads[tag]
        if lead.kind == "bend":
            other = lead.start if str(lead.end) == lug else lead.end
            return f"lug bent over: {end_words(self.build, other)}"
        if lead.kind == "leg":
            return f"leg of {self._hung(lead)}"
        if lead.kind == "sleeved":
            return f"{tag} {self._conductor(lead.start)} to {self._conductor(lead.end)}"
        says = self.ends.get((lug, tag))
        if says is None:
            return f"braid of {lead.cable or tag}"
        long = ", left long" if tag in self.long - self.cut else ""
        row = self.rows.get(tag)
        if long and row is not None and row.length is not None:
            long += f", over {number(row.length)}"
        return says if says.startswith("braid") else f"{tag} {says}{long}"

    def _conductor(self, end: End) -> str:
        """A conductor's end with its colour, where that is known."""
        part = self.build.parts.get(end.part)
        colour = part.colours.get(end.lug) if part else None
        return f"{colour.short} ({end_words(self.build, end)})" if colour else end_words(self.build, end)

    def _hung(self, lead: Lead) -> str:
        found = [self.build.parts[e.part] for e in (lead.start, lead.end) if e.part in self.build.parts]
        return next((p.says for p in found if p.between is not None), found[0].says)


def cut_words(row: LeadRow) -> str:
    """A lead as it is cut: tag, colour, length in mm and strips: ``W07 wht 320 (6 / 8)``."""
    colour = f" {row.colour.short}" if row.colour else ""
    if row.cut.cut_with:
        return f"{row.tag} one wire with {row.cut.cut_with}"
    length = number(row.length) if row.length is not None else "measure"
    strips = " / ".join(s.removeprefix("strip ") or "–" for s in row.cut.strips) if any(row.cut.strips) else ""
    return f"{row.tag}{colour} {length}" + (f" ({strips})" if strips else "")


def lug_words(build: Build, lug: str) -> str:
    """``part.lug`` in shop words."""
    part, _, name = lug.partition(".")
    return end_words(build, End(part, name, build.parts[part].place))


def part_list(build: Build, parts: Sequence[str]) -> str:
    """Parts by their words, the first letter large."""
    says = ", ".join(build.parts[p].says or p for p in parts)
    return says[:1].upper() + says[1:]


def again_words(build: Build, order: Order) -> list[str]:
    """Lugs that are soldered more than once, in words."""
    return [f"{lug_words(build, lug)} {'twice' if n == 2 else f'{n} times'}" for lug, n in order.again]


def left_out_words(build: Build, order: Order) -> list[str]:
    """What this build makes come late, each with what it comes after and how that is shielded."""
    found: dict[tuple[str, tuple[str, str]], list[tuple[str, str]]] = {}
    for before in _strongest(order.left_out):
        found.setdefault((before.rule, before.first), []).append(before.then)
    return [f"{capital(_steps_words(build, [first]))} comes after {_steps_words(build, then)}: {HEED[rule]}"
            for (rule, first), then in found.items()]


def _strongest(left_out: Sequence[Before]) -> Iterator[Before]:
    """Stops are only there to be metered: a joint made one stop late is seen in the readings themselves."""
    yield from (b for b in left_out if b.rule != "stage")


def _steps_words(build: Build, steps: Sequence[tuple[str, str]]) -> str:
    """Steps in words, those of one kind together: ``soldering Tone 10 and Tone wiper``."""
    kinds: dict[str, dict[str, None]] = {}
    for kind, key in steps:
        doing, what = _step_words(build, kind, key)
        kinds.setdefault(doing, {}).setdefault(what)
    return and_list(f"{doing} {and_list(whats)}" for doing, whats in kinds.items())


def _step_words(build: Build, kind: str, key: str) -> tuple[str, str]:
    """What is done, and to what."""
    if kind in ("solder", "tin"):
        return DOING[kind], lug_words(build, key.rsplit(" ", 1)[0] if kind == "solder" else key)
    if kind == "cut":
        return DOING[kind], f"“{GROUPS[key].split(':')[0].split(',')[0].lower()}”"
    return DOING[kind], build.parts[key].says if key in build.parts else f"what belongs in {key}"
