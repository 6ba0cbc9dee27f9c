"""What is wrong in some state only: hot metal, hanging coils, low loads; and colours and grounds that mislead.

Judged with every knob at rest and a mono plug in (a stereo plug where a ring is an output). "Carries signal" means: on
some way from an output to its sleeve, or from the input of a buffer to its ground, that visits no point twice. Rules
say nothing where a build is not solved.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from diagramgen.circuit.blocks import block_between, reached
from diagramgen.circuit.check_wanted import words
from diagramgen.circuit.dc_readings import resistance
from diagramgen.circuit.elements.coil import Coil
from diagramgen.circuit.elements.piezo_source import PiezoSource
from diagramgen.circuit.net_roles import ground_nodes, tip_nodes
from diagramgen.circuit.netlist import Elements, NetlistTemplate, template_of
from diagramgen.circuit.nets import Graph, braid_node, connect, metal_node
from diagramgen.circuit.rules.rule import Rule
from diagramgen.circuit.state_table import StateTable
from diagramgen.circuit.states import classes_of, each_classes
from diagramgen.circuit.values import elements_of, source_name
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.model.build import Build, Lead, Part

CIR_240 = Code(
    "CIR-240", Severity.ERROR, "Metal or a braid (case, cover, baseplate, frame) carries signal in the state named: "
    "it hums when touched and shorts the sound when it meets ground",
    text="What leads alone join to the tip is CIR-104 or CIR-114. The two leads are to be exchanged only where the "
         "other end carries no signal in any state. Where an end of the coil is one with the metal (a braid behind a "
         "phase switch) no exchange helps: free that end from it, or turn another pickup round where one has its "
         "coils free of its metal.", was="C240")
CIR_242 = Code(
    "CIR-242", Severity.WARNING, "In the state named a coil hangs on hot by one end while its other end is open: it "
    "sounds of nothing and picks up noise",
    text="Switch its hot end, or short the coil in that state alone; a coil that is heard in no state lacks a lead at "
         "its open end. The idle stretch of a tapped winding hangs on the one that is played, as is meant; it is one "
         "winding, and shorting part of it would be a shorted turn.", was="C242")
CIR_247 = Code(
    "CIR-247", Severity.WARNING, "A passive coil works into a load of less than ten times its own resistance at "
    "direct current, amplifier included (common practice, no source)",
    text="Of the ways to count the other coils, open or shorted, the one with the largest load is taken, so that "
         "coils in series or parallel raise no false alarm.",
    advice="Treble and level are lost: 250k pots or more, or a buffer before low ones.", was="C247")
CIR_248 = Code(
    "CIR-248", Severity.WARNING, "A contact transducer works into so little that its bass is lost",
    text="Its corner (one over 2 pi R C) lies above 165 Hz, an octave over the lowest string of a guitar (82.4 Hz). "
         "One that a knob at rest keeps away from the tip is judged wherever it has a load.",
    advice="A contact transducer wants a buffer of 5 to 10 MΩ close to it.", was="C248")
CIR_250 = Code(
    "CIR-250", Severity.WARNING, "Two hook-up wires of one colour end at one part but stand for two nets",
    text="Conductors of cables and of pickups, and wires that were found and kept, do not count.",
    advice="Take another colour for one of them, or tag both ends.", was="C250")
CIR_251 = Code(
    "CIR-251", Severity.NOTE, "Ground goes round in a ring",
    text="The wires named could each be left out; or nuts on metal are a second way beside them. It does no harm in "
         "an instrument this size.", was="C251")

MANY = 2000
"""States above which only one state of each network is looked at."""
LOW_LOAD = 10.0
"""A coil wants a load of at least so many times its own resistance (common practice, no source)."""
FEW_COILS = 7
"""Other coils up to which each is counted open and shorted by itself."""
LOWEST_NOTE = 82.4
"""Hz of the lowest string of a guitar in standard tuning (equal temperament, 440 Hz)."""
BASS_LOST = 2 * LOWEST_NOTE
"""Hz of the corner of a transducer with its load from which on the bass is clearly gone: an octave above."""


@dataclass(frozen=True)
class StateContext:
    """One state: the class of each net, its elements, and the points that carry signal."""

    index: int
    classes: Sequence[int]
    here: NetlistTemplate
    kept: Elements | None
    """Its elements, kept where there are few states."""
    signal: frozenset[int]
    ends: tuple[tuple[int, int], ...]
    """The contact and the sleeve of every output whose plug is in, where they are not one point."""

    @property
    def elements(self) -> Elements:
        """The elements on the points of the state."""
        return self.here.elements.mapped(self.classes) if self.kept is None else self.kept


def check_states(found: StateTable, say: Diagnostics) -> None:
    """Every rule that looks at states one by one, at colours and at grounds."""
    build = found.build
    here = template_of(build)
    scenes = [s for s in _scenes(found, here) if s.ends]
    _hot_metal(found, here, scenes, say)
    _hanging(found, scenes, say)
    firsts = [s for s in scenes if s.index == found.result(s.index).first]
    _low_load(found, firsts, say)
    _bass_eaten(found, firsts, say)
    graph = connect(build)
    _colours(build, graph, say)
    _grounds(build, graph, say)


def _scenes(found: StateTable, here: NetlistTemplate) -> Iterator[StateContext]:
    """States in which some output is met as it is played, in order."""
    switches = found.space.switches
    if found.count <= MANY:
        each: Iterator[tuple[int, Sequence[int]]] = enumerate(each_classes(here, switches))
    else:
        each = ((r.first, classes_of(here, switches, found.space.numbers(r.first))) for r in found.results)
    known: dict[tuple[object, ...], tuple[Elements, frozenset[int]]] = {}
    for index, classes in each:
        if not any(found.space.plays(index, output) for output in here.outputs):
            continue
        ends = tuple((a, b) for one in here.heard(found.space.plugs(index))
                     if (a := classes[here.lug(one.lug)]) != (b := classes[here.lug(one.sleeve)]))
        key = tuple(classes)
        if found.count > MANY:
            # One state a network, hardly two alike: kept, their elements would fill the memory.
            yield StateContext(index, key, here, None, _signal(here.elements.mapped(classes), ends), ends)
            continue
        if (key, ends) not in known:
            elements = here.elements.mapped(classes)
            known[key, ends] = (elements, _signal(elements, ends))
        elements, signal = known[key, ends]
        yield StateContext(index, classes, here, elements, signal, ends)


def _signal(e: Elements, ends: Sequence[tuple[int, int]]) -> frozenset[int]:
    """Points that carry signal, ground not among them."""
    edges = e.edges
    on = {i for end, sleeve in ends for i in block_between(edges, end, sleeve)}
    still = {sleeve for _, sleeve in ends}
    for element in e:
        heard = element.hears()
        on |= block_between(edges, *heard) if heard is not None else frozenset()
        still |= set(element.rails())
    return frozenset(point for i in on for point in edges[i]) - still


def _where(found: StateTable, states: Sequence[int]) -> str:
    """The first state in words, and how many more there are."""
    more = f" and {len(states) - 1} more state{'s' if len(states) > 2 else ''}" if len(states) > 1 else ""
    return words(found.space.state(states[0]), found.space) + more


def _hot_metal(found: StateTable, here: NetlistTemplate, scenes: Sequence[StateContext], say: Diagnostics) -> None:
    """Metal and braids that carry signal in some state; what leads alone join to the tip was said before."""
    always = tip_nodes(found.build, connect(found.build), True)
    said: dict[tuple[int, ...], list[str]] = {}
    pieces: dict[str, tuple[str, Location, list[int]]] = {}
    for node, what, place in _metal(found.build):
        if node in here.index and node not in always:
            net = here.lug(node)
            states = [s.index for s in scenes if s.classes[net] in s.signal]
            if states:
                pieces[node] = (what, place, states)
                said.setdefault((net, *states), []).append(node)
    for nodes in said.values():
        what = " and ".join(pieces[n][0] for n in nodes[:3]) + (" and more" if len(nodes) > 3 else "")
        _, place, states = pieces[nodes[0]]
        say.add(CIR_240, place, f"{what} carr{'y' if len(nodes) > 1 else 'ies'} signal in {_where(found, states)}",
                _free(found.build, here, nodes, scenes))


def _free(build: Build, here: NetlistTemplate, nodes: Sequence[str], scenes: Sequence[StateContext]) -> str:
    """What takes metal off the signal: another lead, the two leads exchanged, or its coil end freed from it."""
    for part, metal in ((p, m) for p in build.parts.values() for m in p.symbol.metal):
        if metal_node(part.name, metal.name) not in nodes:
            continue
        ends = {lug for element in part.symbol.elements if element.kind == "coil" for lug in element.ends.values()}
        own = ends.intersection(metal.lugs)
        if not own:
            continue
        far = [here.lug(f"{part.name}.{lug}") for lug in ends - own if _ends_once(part, lug)]
        if far and not any(s.classes[net] in s.signal for s in scenes for net in far):
            return "Metal, braid and cover go to ground; exchange the two leads of this part."
        return (f"The {metal.name} of {part.name} is one with an end of its coil, so that no exchange of its leads "
                f"helps. Open it and free that end from it, with a lead of its own{_another(build, part)}.")
    return "Metal, braid and cover go to ground, by a lead of their own: take it off this one."


def _another(build: Build, part: Part) -> str:
    """Where other pickups keep their coils free of their metal, that one of them may be turned round instead."""
    others = [p for p, _ in elements_of(build, "coil") if p is not part]
    bound = {p.name for p, coil in elements_of(build, "coil") for metal in p.symbol.metal
             if not set(metal.lugs).isdisjoint(coil.ends.values())}
    return "; or turn another pickup round" if any(p.name not in bound for p in others) else ""


def _metal(build: Build) -> Iterator[tuple[str, str, Location]]:
    for part in build.parts.values():
        for metal in part.symbol.metal:
            yield metal_node(part.name, metal.name), f"the {metal.name} of {part.name}", part.place
    for lead in build.leads:
        yield braid_node(lead.tag), f"the braid of {lead.tag}", lead.place
    for cable in build.cables.values():
        yield braid_node(cable.name), f"the braid of {cable.name}", cable.place


def _hanging(found: StateTable, scenes: Sequence[StateContext], say: Diagnostics) -> None:
    """Coils with one end on signal and the other nowhere: an aerial, heard as hum and noise."""
    states: dict[str, list[int]] = {}
    tapped = [winding for part in found.build.parts.values() if (winding := _tapped(part))]
    for scene in scenes:
        heard = {h.coil for h in found.result(scene.index).sound.sounding}
        for name in _aerials(scene):
            # The idle stretch of a tapped winding hangs on the one that is played: as it is meant.
            if not any(name in winding and heard & winding for winding in tapped):
                states.setdefault(name, []).append(scene.index)
    for part, element in elements_of(found.build, "coil"):
        name = source_name(part, element)
        if name in states:
            say.add(CIR_242, part.place,
                    f"{name} hangs on hot by one end, its other end open, in {_where(found, states[name])}",
                    _open_coil(found, scenes, name, name in _tapped(part)))


def _open_coil(found: StateTable, scenes: Sequence[StateContext], name: str, tapped: bool) -> str:
    """What to do about an open coil: a lead, where it is never heard; else a contact or a lead."""
    if not any(name in found.result(scene.index).coils for scene in scenes):
        return ("An open coil on hot picks up noise. It is heard in no state: "
                "look for the lead that its open end lacks."
                + (" Never short part of a winding." if tapped else ""))
    return ("An open coil on hot picks up noise: let the switch open its hot end"
            + (". Never short part of a winding." if tapped else
               ", or short the coil in that state alone. Where it should sound there, its other end lacks a lead."))


def _ends_once(part: Part, lug: str) -> bool:
    """Whether a lug is an end of one coil of a part alone, not the joint of two."""
    return sum(lug in element.ends.values() for element in part.symbol.elements if element.kind == "coil") == 1


def _tapped(part: Part) -> frozenset[str]:
    """Coils of a part that are stretches of one winding: one begins where another ends."""
    coils = [element for element in part.symbol.elements if element.kind == "coil"]
    starts, finishes = ({element.ends[end] for element in coils} for end in ("start", "finish"))
    return frozenset(source_name(part, element) for element in coils
                     if element.ends["start"] in finishes or element.ends["finish"] in starts)


def _aerials(scene: StateContext) -> Iterator[str]:
    e = scene.elements
    coils = [one for one in e if isinstance(one, Coil)]
    names = {coil.name for coil in coils}
    # What is named like a coil and is not one lies across it: its loss, its own capacitance.
    others = [pair for one in e if one.name not in names for pair in one.paths()]
    others += [(one.plus, one.minus) for one in e.batteries]
    for coil in coils:
        rest = others + [(w.start, w.finish) for w in coils if w is not coil]
        for end, far in ((coil.start, coil.finish), (coil.finish, coil.start)):
            if end in scene.signal and not reached(rest, [far]) & (scene.signal | {b for _, b in scene.ends}):
                yield coil.name


def _low_load(found: StateTable, scenes: Sequence[StateContext], say: Diagnostics) -> None:
    """Coils that see less than ``LOW_LOAD`` times their own resistance."""
    said: set[str] = set()
    owners = {source_name(p, e): p for p, e in elements_of(found.build, "coil")}
    for scene in scenes:
        for heard in (h for one in found.result(scene.index).heard for h in one.sound.sounding):
            coil = next((e for e in scene.elements if isinstance(e, Coil) and e.name == heard.coil), None)
            if coil is None or coil.name in said:
                continue
            ohm = _load(found, scene, coil.start, coil.finish, coil.name, owners[coil.name].name)
            low = LOW_LOAD * coil.resistance
            if ohm is not None and ohm < low:
                ohm = _load(found, scene, coil.start, coil.finish, coil.name, owners[coil.name].name, each=True)
            if ohm is not None and ohm < low:
                said.add(coil.name)
                say.add(CIR_247, owners[coil.name].place,
                        f"{coil.name} works into {ohm / 1000:.3g} kΩ, less than {LOW_LOAD:g} times its "
                        f"{coil.resistance / 1000:.3g} kΩ, in {_where(found, [scene.index])}")


def _load(
    found: StateTable, scene: StateContext, a: int, b: int, name: str, part: str, each: bool = False
) -> float | None:
    """The largest resistance in ohm a source can be said to see, with amplifier: others open or shorted.

    In parallel the others are no load when open, in series no break when shorted; the largest finite figure raises
    no false alarm. ``each``: every other coil by itself is counted open and shorted, where they are not too many;
    else those of the part as one and the rest as one. None where direct current finds no way.
    """
    e = scene.elements
    fixed = [(piece.a, piece.b, piece.ohm) for one in e for piece in one.branches() if piece.loads and piece.ohm]
    fixed += [(a, b, found.build.load.amplifier) for a, b in scene.ends]
    others = [one for one in e if isinstance(one, Coil) and one.name != name]
    figures = []
    alone = each and len(others) <= FEW_COILS
    groups = [w.name if alone else str(_coil_of(w.name, part)) for w in others]
    kinds = list(dict.fromkeys(groups))
    for shorted in itertools.product((False, True), repeat=len(kinds)):
        of = dict(zip(kinds, shorted, strict=True))
        wires = [(w.start, w.finish, 1e-3) for w, group in zip(others, groups, strict=True) if of[group]]
        ohm = resistance([x for x in fixed + wires if x[0] != x[1] and x[2] > 0], a, b)
        if ohm is not None:
            figures.append(ohm)
    return max(figures, default=None)


def _coil_of(coil: str, part: str) -> bool:
    """Whether a coil's name is that of a coil of a part."""
    return coil == part or coil.startswith(part + ".")


def _bass_eaten(found: StateTable, scenes: Sequence[StateContext], say: Diagnostics) -> None:
    """Transducers whose capacitance with the load makes a corner above the bass."""
    for part, element in elements_of(found.build, "transducer"):
        name = source_name(part, element)
        # One that a knob at rest keeps away from the tip is judged wherever it has a load.
        judged = [s for s in scenes if _sounds(found, s, name)] or scenes
        eaten: list[tuple[int, float, float]] = []
        for scene in judged:
            strip = next((e for e in scene.elements if isinstance(e, PiezoSource) and e.name == name), None)
            ohm = None if strip is None else _load(found, scene, strip.ground, strip.hot, name, part.name)
            if strip is not None and ohm is not None:
                corner = 1 / (2 * math.pi * ohm * strip.capacitance)
                if corner > BASS_LOST:
                    eaten.append((scene.index, ohm, corner))
        if not eaten:
            continue
        index, ohm, corner = eaten[0]
        where = "" if len(eaten) == len(judged) else f", in {_where(found, [index])}"
        say.add(CIR_248, part.place,
                f"{name} works into {ohm / 1e6:.2g} MΩ: its bass falls off below {corner:.0f} Hz{where}")


def _sounds(found: StateTable, scene: StateContext, name: str) -> bool:
    return name in found.result(scene.index).coils


def _colours(build: Build, graph: Graph, say: Diagnostics) -> None:
    """Hook-up wires of one colour that stand for two nets at one part, or conductors of one cable that do."""
    for part in build.parts.values():
        seen: dict[str, list[tuple[Lead, str]]] = {}
        for lead in build.leads:
            for end in (lead.start, lead.end):
                if end.part == part.name and lead.colour is not None and _loose(lead, build):
                    seen.setdefault(str(lead.colour.word), []).append((lead, str(end)))
        for colour, ends in seen.items():
            first, node = ends[0]
            other = next(((lead, e) for lead, e in ends[1:] if not graph.joined(node, e)), None)
            if other is not None:
                say.add(CIR_250, other[0].place,
                        f"at {part.name} two {colour} leads, {first.tag} and {other[0].tag}, are on two nets")


def _loose(lead: Lead, build: Build) -> bool:
    """A hook-up wire whose colour is chosen at the bench: no conductor of a cable, no leg, nothing reused."""
    return lead.kind == "wire" and not lead.cable and not lead.reused and not _own_conductor(lead, build)


def _own_conductor(lead: Lead, build: Build) -> bool:
    for end in (lead.start, lead.end):
        part = build.parts.get(end.part)
        if part is not None and any(end.lug in row for p in part.symbol.drawing.lugs if p.kind == "conductor"
                                    for row in p.names):
            return True
    return False


def _grounds(build: Build, graph: Graph, say: Diagnostics) -> None:
    """Ground wires without which everything would still be grounded: more than one way."""
    ground = ground_nodes(build, graph)
    wires = [w for w in build.leads if w.is_wire and str(w.start) in ground and str(w.end) in ground]
    rings = [w for w in wires if _spare(graph, w, ground, nuts=False)]
    nuts = [w for w in wires if w not in rings and _spare(graph, w, ground, nuts=True)]
    if rings:
        say.add(CIR_251, rings[0].place, f"ground goes round in a ring: {_tags(rings)} could each be left out",
                "It does no harm in an instrument this size; leave one out if you want a star.")
    if nuts:
        say.add(CIR_251, nuts[0].place, f"nuts on metal are a second way to ground beside {_tags(nuts)}",
                "Leave the wires: a nut can work loose. A ring this small does no harm.")


def _tags(leads: Sequence[Lead]) -> str:
    return ", ".join(lead.tag for lead in leads[:6]) + (" and more" if len(leads) > 6 else "")


def _spare(graph: Graph, lead: Lead, ground: Collection[str], nuts: bool) -> bool:
    """Whether both ends of a ground wire stay joined by sure ways without it; nuts count where asked."""
    pairs = [(e.a, e.b) for e in graph.edges
             if e.sure and e.origin != lead.tag and e.a in ground and (nuts or e.kind != "nut")]
    number = {node: i for i, node in enumerate(ground)}
    start, end = number[str(lead.start)], number[str(lead.end)]
    return end in reached([(number[a], number[b]) for a, b in pairs], [start])


RULE = Rule(70, check_states)
