"""Every single fault a build can have: joints, leads, neighbours, cases, contacts, elements, exchanges."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from diagramgen.circuit.coil_words import element_called
from diagramgen.circuit.elements.registry import KINDS
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.nets import classes, is_shield, metal_node
from diagramgen.circuit.values import elements_of
from diagramgen.diagnosis.fault_model import FaultModel, ends_of
from diagramgen.diagnosis.model import FaultHypothesis, NetlistEdit
from diagramgen.job.words import end_words, lug_word
from diagramgen.layout.fit.wire_sizes import own_cable
from diagramgen.library.model import Element, Lug
from diagramgen.library.outline_size import shape_of
from diagramgen.model.build import Build, Lead, Part

# Which lugs of a part solder can bridge, or a lead be put on by mistake: those that lie side by side.

NEAR = 1.3
"""Lugs count as neighbours up to this many times the distance from a lug to the nearest one."""
FAR = 14.0
"""Never neighbours beyond this (mm): further than two pitches of a 24 mm pot no solder flows and no eye slips."""
LOOSE = ("conductor", "leg", "sleeve", "spot")
"""Ends of conductors, legs and the back of a case lie beside no lug."""


def _solid(part: Part) -> list[Lug]:
    return [lug for lug in shape_of(part.symbol, part.dimensions).lugs.values() if lug.kind not in LOOSE]


def solid_lugs(part: Part) -> tuple[str, ...]:
    """The part's own fixed lugs."""
    return tuple(lug.name for lug in _solid(part))


def neighbours_of(part: Part) -> Iterator[tuple[str, str]]:
    """Pairs of lugs of a part that lie side by side, each once, in the order of the symbol."""
    lugs = _solid(part)
    nearest = {lug.name: min((_distance(lug, o) for o in lugs if o is not lug), default=math.inf) for lug in lugs}
    for a, b in itertools.combinations(lugs, 2):
        if _distance(a, b) <= min(FAR, NEAR * max(nearest[a.name], nearest[b.name])):
            yield a.name, b.name


def _distance(a: Lug, b: Lug) -> float:
    return math.hypot(a.at.x - b.at.x, a.at.y - b.at.y, a.depth - b.depth)


@dataclass(frozen=True)
class FaultKind:
    """A kind of fault in the words of the fault sheet, and how often it is met against the others."""

    heading: str
    weight: float


OF_NO_ELEMENT = {
    "joint": FaultKind("lead or joint open", 6.0), "lug": FaultKind("cold joint", 3.0),
    "moved": FaultKind("lead on the lug beside", 2.0), "bridge": FaultKind("solder bridge", 2.0),
    "case": FaultKind("touches metal", 3.0), "exchanged": FaultKind("leads exchanged", 2.0),
    "jack": FaultKind("hot and ground exchanged", 2.0), "contact open": FaultKind("contact does not close", 3.0),
    "contact stuck": FaultKind("contact does not open", 0.5), "value": FaultKind("wrong value", 1.0),
}
"""The kinds of fault no element declares (weights: a technician's judgement from memory, no source)."""


def fault_kind(name: str) -> FaultKind:
    """A kind of fault by its name. Those of an element stand where it is declared (``circuit.elements``).

    Raises ``KeyError`` for a name that neither this file nor an element knows.
    """
    declared = (FaultKind(wrong.heading, wrong.weight) for kind in KINDS.values() for wrong in kind.faults
                if wrong.kind == name)
    return next(declared, None) or OF_NO_ELEMENT[name]


CONDUCTORS = ("wire", "shielded", "bare", "leg", "bend", "sleeved", "bridge", "braid")


@dataclass(frozen=True, eq=False)
class _Lister:
    wiring: FaultModel

    @property
    def build(self) -> Build:
        return self.wiring.build

    @cached_property
    def net(self) -> dict[str, int]:
        """Node -> its net with every contact open."""
        nets = classes(self.wiring.points, ((e.a, e.b) for e in self.wiring.edges))
        return {node: i for i, net in enumerate(nets) for node in net}

    @cached_property
    def leads(self) -> dict[str, Lead]:
        return {lead.tag: lead for lead in self.build.leads}

    @cached_property
    def touching(self) -> dict[str, list[int]]:
        """Lug -> numbers of the conductors soldered there."""
        found: dict[str, list[int]] = {}
        for i, e in enumerate(self.wiring.edges):
            if e.kind in CONDUCTORS:
                found.setdefault(e.a, []).append(i)
                found.setdefault(e.b, []).append(i)
        return found

    def lug(self, key: str) -> str:
        """``part.lug`` as the shop says it."""
        name, _, lug = key.partition(".")
        part = self.build.parts.get(name)
        return f"{part.says} {lug_word(self.build, name, lug)}" if part is not None and lug else key

    def lead(self, number: int) -> str:
        """A conductor as it is called: ``W07 red``, ``leg of cap``."""
        edge = self.wiring.edges[number]
        lead = self.leads.get(edge.origin)
        if lead is None:
            return f"braid of {edge.origin}" if edge.kind == "braid" else f"leg of {edge.origin}"
        return f"{lead.tag} {lead.colour.short}" if lead.colour is not None else lead.tag

    def tags(self, *numbers: int) -> tuple[str, ...]:
        origins = (self.wiring.edges[n].origin for n in numbers)
        return tuple(dict.fromkeys(o for o in origins if o in self.leads))

    def first_coil(self, name: str) -> bool:
        """Whether ``part.element`` is the first coil of its pickup, and there is another pickup to be in phase with."""
        coils = [f"{part.name}.{element.name}" for part, element in elements_of(self.build, "coil")]
        pickups = list(dict.fromkeys(coil.partition(".")[0] for coil in coils))
        return len(pickups) > 1 and name in coils and name == next(c for c in coils if c.partition(".")[0]
                                                                   == name.partition(".")[0])

    def apart(self, a: str, b: str) -> bool:
        return self.net[a] != self.net[b]


def single_faults(wiring: FaultModel) -> tuple[FaultHypothesis, ...]:
    """Every single fault, in the order of the build; each key once."""
    lister = _Lister(wiring)
    found: dict[str, FaultHypothesis] = {}
    for fault in itertools.chain(
        _open_joints(lister), _loose_lugs(lister), _neighbours(lister), _cases(lister), _contacts(lister),
        _elements(lister), _exchanges(lister), _jack(lister),
    ):
        found.setdefault(fault.key, fault)
    return tuple(found.values())


def _open_joints(of: _Lister) -> Iterator[FaultHypothesis]:
    """A conductor that is broken, or not soldered at one of its ends: all three cut it."""
    for i, e in enumerate(of.wiring.edges):
        if e.kind not in CONDUCTORS:
            continue
        lugs = tuple(n for n in (e.a, e.b) if "." in n and not n.startswith(("metal of", "plate of", "braid of")))
        places = " or ".join(of.lug(n) for n in lugs)
        yield FaultHypothesis(f"open {e.origin} {e.a} {e.b}",
                              "joint", f"{of.lead(i)} is broken or its joint does not hold, at "
                              f"{places}", lugs, fault_kind("joint").weight, of.tags(i), cut=frozenset((i,)))


def _loose_lugs(of: _Lister) -> Iterator[FaultHypothesis]:
    """Several conductors that hold to each other but not to their lug."""
    for lug, numbers in of.touching.items():
        if len(numbers) < 2 or lug.startswith(("metal of", "plate of", "braid of")):
            continue
        ends = [of.wiring.edges[n].other(lug) for n in numbers]
        words = ", ".join(of.lead(n) for n in numbers)
        yield FaultHypothesis(f"lug {lug}",
                              "lug", f"cold joint at {of.lug(lug)}: {words} hold together but not to the lug",
                              (lug,), fault_kind("lug").weight, of.tags(*numbers), cut=frozenset(numbers),
                              join=tuple(itertools.pairwise(ends)))


def _neighbours(of: _Lister) -> Iterator[FaultHypothesis]:
    """Solder between neighbouring lugs, and a conductor on the lug beside its own."""
    for part in of.build.parts.values():
        for a, b in neighbours_of(part):
            one, other = f"{part.name}.{a}", f"{part.name}.{b}"
            if of.apart(one, other):
                yield FaultHypothesis(f"bridge {one} {other}",
                                      "bridge", f"solder bridges {of.lug(one)} and {of.lug(other)}",
                                      (one, other), fault_kind("bridge").weight, join=((one, other),))
                yield from _moved(of, one, other)
                yield from _moved(of, other, one)


def _moved(of: _Lister, lug: str, beside: str) -> Iterator[FaultHypothesis]:
    for n in of.touching.get(lug, ()):
        edge = of.wiring.edges[n]
        far = edge.other(lug)
        if edge.kind not in ("bend", "bridge") and far != beside:
            yield FaultHypothesis(f"moved {edge.origin} {lug} {beside}", "moved",
                                  f"{of.lead(n)} is on {of.lug(beside)} in place of {of.lug(lug)}", (beside, lug),
                                  fault_kind("moved").weight, of.tags(n), cut=frozenset((n,)), join=((beside, far),))


def _cases(of: _Lister) -> Iterator[FaultHypothesis]:
    """A lug that touches its part's case, or the shield of its cavity."""
    for part in of.build.parts.values():
        solid = solid_lugs(part)
        for metal in part.symbol.metal:
            node = metal_node(part.name, metal.name)
            for lug in solid:
                key = f"{part.name}.{lug}"
                if node in of.net and lug not in metal.lugs and of.apart(key, node):
                    yield FaultHypothesis(f"case {key} {metal.name}",
                                          "case", f"{of.lug(key)} touches the {metal.name} of "
                                          f"{part.says}", (key,), fault_kind("case").weight, join=((key, node),))
        for foil in of.build.parts.values():
            if foil is part or not is_shield(foil) or not foil.cavity or foil.cavity != part.cavity:
                continue
            for metal in foil.symbol.metal:
                node = metal_node(foil.name, metal.name)
                for lug in solid:
                    key = f"{part.name}.{lug}"
                    if node in of.net and of.apart(key, node):
                        yield FaultHypothesis(f"shield {key} {foil.name}",
                                              "case", f"{of.lug(key)} touches {foil.says}", (key,),
                                              fault_kind("case").weight, join=((key, node),))


def _contacts(of: _Lister) -> Iterator[FaultHypothesis]:
    closed = of.wiring.closed
    for i, (a, b) in enumerate(of.wiring.contacts):
        if not of.apart(a, b):
            continue
        name = of.build.parts[a.partition(".")[0]].says
        pair = f"{lug_word(of.build, *_split(a))} to {lug_word(of.build, *_split(b))}"
        if closed[:, i].any():
            yield FaultHypothesis(f"contact open {a} {b}",
                                  "contact open", f"the contact {pair} of {name} does not close", (a, b),
                                  fault_kind("contact open").weight, open_contacts=frozenset((i,)))
        if not closed[:, i].all():
            yield FaultHypothesis(f"contact stuck {a} {b}",
                                  "contact stuck", f"the contact {pair} of {name} does not open",
                                  (a, b), fault_kind("contact stuck").weight, stuck_contacts=frozenset((i,)))


def _split(key: str) -> tuple[str, str]:
    part, _, lug = key.partition(".")
    return part, lug


def _elements(of: _Lister) -> Iterator[FaultHypothesis]:
    for part, element in elements_of(of.build):
        name = f"{part.name}.{element.name}"
        lugs = tuple(dict.fromkeys(ends_of(of.build, name).values()))
        says = element_called(part, element)
        for kind, words, edit, join in _wrong(of, element, name):
            whose = part.says if kind == "turned" else says
            yield FaultHypothesis(f"{kind} {name} {edit.what if edit else ''} {edit.factor if edit else ''}".strip(),
                                  kind,
                                  f"{whose}: {words}", lugs, fault_kind(kind).weight, join=join, edit=edit)


_Wrong = tuple[str, str, NetlistEdit | None, tuple[tuple[str, str], ...]]


def _wrong(of: _Lister, element: Element, name: str) -> Iterator[_Wrong]:
    """(kind, words, edit, joins) of everything that can be wrong with an element itself."""
    kind = KINDS.get(element.kind)
    if kind is None:
        return
    ends = ends_of(of.build, name)
    for wrong in kind.faults:
        # The pickups of one part have one magnet.
        if wrong.edit == "turned" and not of.first_coil(name):
            continue
        words = wrong.words.format(lug=of.lug(ends[wrong.edit])) if wrong.edit in ends else wrong.words
        join = ((ends[wrong.join[0]], ends[wrong.join[1]]),) if wrong.join else ()
        yield wrong.kind, words, NetlistEdit(name, wrong.edit) if wrong.edit else None, join
    for factor in kind.misread:
        times = f"{factor:g} times" if factor > 1 else f"1/{1 / factor:g} of"
        yield "value", f"its value is {times} what the build says", NetlistEdit(name, "scale", factor), ()


def _exchanges(of: _Lister) -> Iterator[FaultHypothesis]:
    """Two conductors of one cable that changed places at their far ends."""
    cables: dict[str, list[int]] = {}
    for i, e in enumerate(of.wiring.edges):
        lead = of.leads.get(e.origin)
        if lead is not None and e.kind != "braid":
            cable = lead.cable or own_cable(lead, of.build)
            if cable:
                cables.setdefault(cable, []).append(i)
    for cable, numbers in cables.items():
        for i, j in itertools.combinations(numbers, 2):
            (near, far), (near2, far2) = _near_far(of, i, cable), _near_far(of, j, cable)
            if far == near2 or far2 == near or near == near2 or not of.apart(far, far2):
                continue
            says = of.build.parts[cable].says if cable in of.build.parts else cable
            yield FaultHypothesis(f"exchanged {of.wiring.edges[i].origin} {of.wiring.edges[j].origin}", "exchanged",
                                  f"{of.lead(i)} and {of.lead(j)} of {says} are exchanged, "
                                  f"at {of.lug(far)} and {of.lug(far2)}",
                                  (far, far2), fault_kind("exchanged").weight, of.tags(i, j), cut=frozenset((i, j)),
                                  join=((near, far2), (near2, far)))


def _near_far(of: _Lister, number: int, cable: str) -> tuple[str, str]:
    """The end at the cable's own part first."""
    edge = of.wiring.edges[number]
    return (edge.a, edge.b) if edge.a.startswith(f"{cable}.") else (
        (edge.b, edge.a) if edge.b.startswith(f"{cable}.") else (edge.a, edge.b))


def _jack(of: _Lister) -> Iterator[FaultHypothesis]:
    """Tip and sleeve of a jack exchanged."""
    for jack in jacks(of.build):
        yield from _reversed(of, jack)


def _reversed(of: _Lister, jack: Part) -> Iterator[FaultHypothesis]:
    tip, sleeve = f"{jack.name}.tip", f"{jack.name}.sleeve"
    numbers = {lug: of.touching.get(lug, []) for lug in (tip, sleeve)}
    if not numbers[tip] or not numbers[sleeve]:
        return
    join = [(sleeve, of.wiring.edges[n].other(tip)) for n in numbers[tip]]
    join += [(tip, of.wiring.edges[n].other(sleeve)) for n in numbers[sleeve]]
    every = [*numbers[tip], *numbers[sleeve]]
    name = "jack reversed" if jack == jacks(of.build)[0] else f"{jack.name} reversed"
    yield FaultHypothesis(name, "jack", f"hot and ground are exchanged at {jack.says}", (tip, sleeve),
                          fault_kind("jack").weight, of.tags(*every), cut=frozenset(every), join=tuple(join))


def place_words(of: FaultModel, lugs: tuple[str, ...]) -> str:
    """The lugs of a fault as a technician says them."""
    from diagramgen.model.build import End

    parts = of.build.parts
    return ", ".join(end_words(of.build, End(*_split(lug), parts[_split(lug)[0]].place)) for lug in lugs
                     if _split(lug)[0] in parts)
