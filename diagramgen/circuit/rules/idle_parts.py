"""Resistors and capacitors that carry nothing in any state, idle bleeds, boards without supply or ground."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from diagramgen.circuit.bleeds import Bleed, bleeds, without
from diagramgen.circuit.blocks import block_between
from diagramgen.circuit.knob_sweep import GRID, TREBLE, knob_word, net_of
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.netlist import Elements, NetlistTemplate, template_of
from diagramgen.circuit.nets import connect, metal_node
from diagramgen.circuit.nodal import sweep_many
from diagramgen.circuit.rules.connections import is_strings, touched
from diagramgen.circuit.rules.rule import Rule
from diagramgen.circuit.state_table import StateTable
from diagramgen.circuit.states import each_classes
from diagramgen.circuit.values import elements_of, knobs_of, lug_of
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.model.build import PARKED, Build, Part

CIR_258 = Code(
    "CIR-258", Severity.WARNING, "A resistor or capacitor carries nothing in any state, with any knob off its ends",
    text="No way between the output, the input or supply of a board, the battery, or strings and ground leads through "
         "it. One with both ends on one net is CIR-119.", was="C258")
CIR_259 = Code(
    "CIR-259", Severity.WARNING, "A board never has its supply in any state with the plug in, though the battery is "
    "on; or its ground is on no sleeve", was="C259")
CIR_271 = Code(
    "CIR-271", Severity.WARNING, "A treble bleed changes hardly any treble",
    text="The treble (2 to 8 kHz) of every coil changes by less than 0.5 dB with its volume at half turn, in every "
         "state looked at (the first 12 networks); usual ones change 5 to 13 dB (computed).",
    advice="A treble bleed is about 680p to 1n2 with 130k to 150k: is a value a thousand times off?", was="C271")

MANY = 2000
"""States above which nothing is judged here."""
FEW = 12
"""Networks in which a bleed is looked for."""
BLEED_DB = 0.5
"""What a bleed changes of the treble at half turn at least; usual ones change 5 to 13 dB (computed)."""
TURNS = (2.5, 7.5)
"""Where the knobs stand: no wiper at an end of its track, a blend with either side on its way."""


def check(found: StateTable, say: Diagnostics) -> None:
    """Warn of components that carry nothing (CIR-258), bleeds without effect (CIR-271), boards that cannot work
    (CIR-259)."""
    if found.count > MANY or all(r.silent for r in found.results):
        return  # what silences everything is said
    _components(found, say)
    _bleeds(found, say)
    _boards(found, say)


def _components(found: StateTable, say: Diagnostics) -> None:
    build = found.build
    graph, used = connect(build), touched(build)
    idle: dict[str, tuple[Part, list[str]]] = {}
    for part, element in elements_of(build, "resistor", "capacitor"):
        lugs = [lug_of(part, element, end) for end in element.ends]
        wired = any(used.intersection(graph.net_at(lug)) for lug in lugs)
        if wired and not part.meant and not _parked(build, part) and not graph.joined(lugs[0], lugs[1]):
            name = f"{part.name}.{element.name}" if len(part.symbol.elements) > 1 else part.name
            idle[name] = (part, lugs)
    for turn in TURNS:
        if idle:
            for name in _carrying(template_of(build, dict.fromkeys(knobs_of(build), turn)), found, set(idle)):
                idle.pop(name, None)
    for name in dict.fromkeys(part.name for part, _ in idle.values()):
        lugs = [lug for owner, ends in idle.values() if owner.name == name for lug in ends]
        bare = [lug for lug in dict.fromkeys(lugs) if not used.intersection(graph.net_at(lug))]
        why = f"No lead ends on {' and '.join(bare)}." if bare else "Beyond one of its ends nothing follows."
        say.add(CIR_258, build.parts[name].place, f"{name} carries nothing in any state: it does nothing there",
                f"{why} If it only rests there, say so: meant, and why, or '-> parked'.")


def _parked(build: Build, part: Part) -> bool:
    return any(PARKED in (lead.start.part, lead.end.part) and part.name in (lead.start.part, lead.end.part)
               for lead in build.leads)


def _carrying(here: NetlistTemplate, found: StateTable, asked: set[str]) -> Iterator[str]:
    """Those of the components that lie on some way between two ends that matter, state by state until all were seen."""
    seen: set[tuple[int, ...]] = set()
    left = set(asked)
    for classes in each_classes(here, found.space.switches):
        if classes in seen:
            continue
        seen.add(classes)
        e = here.elements.mapped(classes)
        for a, b in _ends(here, e, classes):
            for i in block_between(e.edges, a, b):
                name = e.all[e.owners[i]].name
                if name in left:
                    left.discard(name)
                    yield name
            if not left:
                return


def _ends(here: NetlistTemplate, e: Elements, classes: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Pairs of points between which what lies is of use: output, boards, battery and the ground of the strings."""
    build = here.build
    for jack in jacks(build):
        for lug in ("tip", "ring"):
            if f"{jack.name}.{lug}" in here.index:
                yield classes[here.lug(f"{jack.name}.{lug}")], classes[here.lug(f"{jack.name}.sleeve")]
        for part in build.parts.values():
            for metal in part.symbol.metal:
                node = metal_node(part.name, metal.name)
                if is_strings(part, metal) and node in here.index:
                    yield classes[here.lug(node)], classes[here.lug(f"{jack.name}.sleeve")]
    for one in e:
        yield from (pair for pair in (one.hears(), one.fed_at()) if pair is not None)
    for battery in e.batteries:
        yield battery.plus, battery.minus


def _boards(found: StateTable, say: Diagnostics) -> None:
    build = found.build
    played = [r for r in found.results if r.plug != "out"]
    # Without a battery, or with one that is never on (CIR-222), no board is to blame.
    fed = any(True for _ in elements_of(build, "cell")) and any(r.current > 0 for r in played)
    loose = _groundless(found)
    for part, element in elements_of(build, "buffer"):
        name = f"{part.name}.{element.name}" if len(part.symbol.elements) > 1 else part.name
        plus, ground = (lug_of(part, element, end) for end in ("plus", "ground"))
        if part.meant:
            continue
        if ground in loose:
            loose.discard(ground)
            say.add(CIR_259, part.place, f"{ground} is not on the sleeve of the jack in any state",
                    "A board needs its ground joined to that of everything else: run a lead.")
        elif fed and not any(name in r.powered for r in played):
            say.add(CIR_259, part.place, f"{part.name} never has its supply, in any state",
                    f"Follow {plus} to the battery's plus and {ground} to ground, with the plug in.")


def _groundless(found: StateTable) -> set[str]:
    """Ground lugs of boards that are on no sleeve in any state with the plug in."""
    here = template_of(found.build)
    left = {lug_of(part, element, "ground") for part, element in elements_of(found.build, "buffer")}
    sleeves = [here.lug(f"{jack.name}.sleeve") for jack in jacks(found.build)]
    if left:
        for index, classes in enumerate(each_classes(here, found.space.switches)):
            if found.space.plug(index) != "out":
                left -= {lug for lug in left if any(classes[here.lug(lug)] == classes[s] for s in sleeves)}
            if not left:
                break
    return left


def _bleeds(found: StateTable, say: Diagnostics) -> None:
    """Bleeds that change nothing with their volume at half turn, in any of the states looked at (CIR-271)."""
    build, working = found.build, set()
    judged: dict[Bleed, None] = {}
    for state in [r.first for r in found.results if r.plug != "out"][:FEW]:
        for bleed in bleeds(build, found.space.state(state)):
            judged.setdefault(bleed)
            if bleed not in working and _bleed_shift(found, bleed, state) >= BLEED_DB:
                working.add(bleed)
        if judged and len(working) == len(judged):
            break
    for bleed in judged:
        part = build.parts[bleed.parts[0]]
        if bleed not in working and not part.meant:
            say.add(CIR_271, part.place, f"{' and '.join(bleed.parts)} changes the treble of "
                    f"{knob_word(bleed.knob)} at half turn by under {BLEED_DB:g} dB")


def _bleed_shift(found: StateTable, bleed: Bleed, state: int) -> float:
    """How much the treble of any coil changes in dB where a bleed is taken out, its knob at 5."""
    knobs = {bleed.knob: 5.0}
    nets = [net_of(template_of(build, knobs), found.space, state)
            for build in (found.build, without(found.build, bleed))]
    levels = [dict(zip(r.sources, np.sqrt((np.abs(r.transfers) ** 2).mean(axis=0)), strict=True))
              for r in sweep_many(nets, GRID[TREBLE])]
    shifts = [abs(20 * math.log10(max(level, 1e-9) / max(levels[1].get(name, 0.0), 1e-9)))
              for name, level in levels[0].items() if level > 1e-3]
    return max(shifts, default=BLEED_DB)


RULE = Rule(120, check, idle=(CIR_258, CIR_259, CIR_271))
