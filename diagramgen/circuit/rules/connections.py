"""What the connection graph alone shows to be wrong: metal, ground, braids, strings and forgotten lugs.

Judged with every contact open. "Grounded" must hold with every unsure nut open; "hot metal" is tested with
every unsure nut closed. While a build has ends that are not traced yet, what is missing is only a note.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from diagramgen.circuit.advice import joined, silences
from diagramgen.circuit.dc_readings import read
from diagramgen.circuit.net_roles import ground_nodes, jacks, tip_nodes
from diagramgen.circuit.netlist import template_of
from diagramgen.circuit.nets import Edge, Graph, braid_node, classes, connect, is_shield, metal_node
from diagramgen.circuit.outputs import contacts
from diagramgen.circuit.rules.codes import (
    CIR_100,
    CIR_101,
    CIR_102,
    CIR_103,
    CIR_104,
    CIR_105,
    CIR_106,
    CIR_107,
    CIR_108,
    CIR_109,
    CIR_110,
    CIR_111,
    CIR_112,
    CIR_113,
    CIR_114,
    CIR_115,
    CIR_116,
    CIR_117,
    CIR_118,
)
from diagramgen.circuit.rules.single_cut import astray, joining, lead_words
from diagramgen.circuit.states import classes_of
from diagramgen.circuit.values import elements_of
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.kernel.units import RESISTANCE, quantity
from diagramgen.library.model import Metal
from diagramgen.model.build import UNKNOWN, Build, End, Lead, Part

# Braids of shielded leads and cables: joined to ground at one end at least, and never hot.


def check_braids(build: Build, graph: Graph, ground: Collection[str], tip: Collection[str], say: Diagnostics) -> None:
    """Each braid: joined nowhere, hot, or joined to something that is not ground."""
    for owner, what, place in _braids(build):
        node = braid_node(owner)
        if node not in graph.nodes:
            say.add(CIR_113, place, f"the braid of {what} is joined to nothing")
        elif node in tip:
            say.add(CIR_114, place, f"the braid of {what} is hot: it is joined to the tip")
        elif ground and node not in ground:
            say.add(CIR_115, place, f"the braid of {what} is joined, but not to ground")


def _braids(build: Build) -> Iterator[tuple[str, str, Location]]:
    for lead in build.leads:
        if lead.kind == "shielded" and not _carried(lead, build) and not (lead.shield_cut and not lead.shield_to):
            yield lead.tag, f"lead {lead.tag}", lead.place
    for cable in build.cables.values():
        conductors = [lead for lead in build.leads if lead.cable == cable.name]
        if cable.shielded and conductors and not any(lead.shield_cut for lead in conductors):
            yield cable.name, f"cable {cable.name}", cable.place


def _carried(lead: Lead, build: Build) -> bool:
    """Whether the braid is a conductor of its own: that of a cable, or a lug of the part it belongs to."""
    if lead.shield_to:
        return False
    return lead.cable in build.cables or any(_own_braid(e, build) for e in (lead.start, lead.end))


def _own_braid(end: End, build: Build) -> bool:
    part = build.parts.get(end.part)
    if part is None:
        return False
    conductors = {n for p in part.symbol.drawing.lugs if p.kind == "conductor" for row in p.names for n in row}
    return end.lug in conductors and any(conductors.intersection(m.lugs) for m in part.symbol.metal)


@dataclass(frozen=True)
class Findings:
    """What every rule looks at."""

    build: Build
    graph: Graph
    ground: Collection[str]
    tip: Collection[str]
    maybe_ground: Collection[str]
    maybe_tip: Collection[str]
    traced: bool
    """No end of a lead is unknown."""
    say: Diagnostics

    def missing(self, code: Code, place: Location, message: str, remedy: str | None = None) -> None:
        """Say that something is missing: a note while ends are not traced yet."""
        if not self.traced:
            code, message = code.at(Severity.NOTE), message + " (some ends are not traced yet)"
        self.say.add(code, place, message, remedy)


def check_connections(build: Build, say: Diagnostics) -> None:
    """Every rule on the graph with all contacts open."""
    graph = connect(build)
    traced = not any(UNKNOWN in (e.start.part, e.end.part) for e in build.leads)
    found = Findings(
        build, graph, ground_nodes(build, graph), tip_nodes(build, graph),
        ground_nodes(build, graph, True), tip_nodes(build, graph, True), traced, say,
    )
    _forgotten(found)
    check_braids(build, graph, found.ground, found.tip, say)
    if not jacks(build):
        say.add(CIR_100, Location(build.file), "the build has no output jack: ground and hot were not judged")
        return
    if _jack_leads(found) and not _short(found):
        _metal(found)
        _strings(found)


def touched(build: Build) -> frozenset[str]:
    """Lugs on which some lead, leg or braid ends (parked and untraced leads count)."""
    ends = [e for lead in build.leads for e in (lead.start, lead.end, *lead.shield_to)]
    ends += [e for cable in build.cables.values() for e in cable.shield_to]
    ends += [e for part in build.parts.values() for e in part.between or ()]
    hung = {f"{p.name}.{lug}" for p in build.parts.values() if p.between for lug in p.symbol.lug_names()}
    return frozenset(str(e) for e in ends if e.known) | hung


def path_words(path: tuple[Edge, ...] | None, start: str) -> str:
    """A path as evidence: ``jack.sleeve, W07, volume.case, nut of volume, plate of controls``."""
    words, at = [start], start
    for edge in path or ():
        at = edge.other(at)
        words += ([edge.origin] if edge.kind != "metal" else []) + [at]
    return ", ".join(words)


def _jack_leads(found: Findings) -> bool:
    """Whether every jack has something on tip and sleeve."""
    used = touched(found.build)
    whole = True
    for jack in jacks(found.build):
        for lug in ("tip", "sleeve"):
            if not used.intersection(found.graph.net_of(jack.name, lug, True)):
                whole = False
                wrong = astray(found.build) if lug == "tip" else None
                why = f": hot is shorted to ground by {lead_words(wrong)}" if wrong else ""
                found.missing(CIR_101, jack.place, f"nothing is joined to {jack.name}.{lug}{why}",
                              f"Should that lead go to {jack.name}.{lug}?" if wrong else
                              "Give it its lead: without it nothing reaches the amplifier.")
    return whole


def _short(found: Findings) -> bool:
    """Tip and sleeve joined by leads or metal."""
    for jack in jacks(found.build):
        tip, sleeve = f"{jack.name}.tip", f"{jack.name}.sleeve"
        path = found.graph.path(tip, sleeve)
        if path is not None:
            guilty = joining(found.build, path, tip, sleeve)
            by = f" by {lead_words(guilty)}" if guilty else ""
            found.say.add(CIR_102, jack.place, f"tip and sleeve of {jack.name} are joined{by}: the plug is muted",
                          f"The way: {path_words(path, tip)}.")
            return True
        path = found.graph.path(tip, sleeve, perhaps=True)
        if path is not None:
            found.say.add(CIR_103, jack.place, f"tip and sleeve of {jack.name} are joined if metal touches metal",
                          f"The way: {path_words(path, tip)}. Put tape between, and meter it.")
            return True
    return False


def _metal(found: Findings) -> None:
    by_nut: list[tuple[Part, Metal]] = []
    said: set[str] = set()
    for part, metal in _pieces(found.build):
        node = metal_node(part.name, metal.name)
        if node not in found.graph.nodes:
            _lugless(part, metal, found)
        elif node in found.ground:
            by_nut += [(part, metal)] if _through_nut(node, found) else []
        elif _string_net(node, found):
            continue  # judged with the strings
        elif not _hot(part, metal, node, found):
            _ungrounded(part, metal, node, found, said)
    if by_nut:
        names = ", ".join(f"{part.name}.{metal.lugs[0]}" if metal.lugs else f"the {metal.name} of {part.name}"
                          for part, metal in by_nut)
        found.say.add(CIR_105, by_nut[0][0].place, f"only nuts or screws ground {names}")


def _pieces(build: Build) -> Iterator[tuple[Part, Metal]]:
    for part in build.parts.values():
        for metal in part.symbol.metal:
            yield part, metal


def _lugless(part: Part, metal: Metal, found: Findings) -> None:
    """Metal without a lug and without a plate: only worth a word where a hand touches it."""
    if metal.touchable:
        found.say.add(CIR_109, part.place, f"the {metal.name} of {part.name} is metal that is joined to nothing")


def _through_nut(node: str, found: Findings) -> bool:
    sleeves = [f"{j.name}.sleeve" for j in jacks(found.build)]
    paths = [p for s in sleeves if (p := found.graph.path(node, s)) is not None]
    without = [e for e in found.graph.edges if e.kind != "nut" and e.sure]
    apart = classes(found.graph.nodes, ((e.a, e.b) for e in without))
    index = {n: i for i, net in enumerate(apart) for n in net}
    return bool(paths) and not any(index[node] == index[s] for s in sleeves)


def _hot(part: Part, metal: Metal, node: str, found: Findings) -> bool:
    """Metal on the net of the tip."""
    if node not in found.maybe_tip:
        return False
    surely = node in found.tip
    tip = next(one for one in contacts(found.build) if found.graph.path(one.lug, node, perhaps=True) is not None)
    way = path_words(found.graph.path(tip.lug, node, perhaps=True), tip.lug)
    found.say.add(CIR_104.at(Severity.ERROR if surely else Severity.WARNING), part.place, f"the {metal.name} of "
                  f"{part.name} is {'' if surely else 'perhaps '}hot: it is joined to the {tip.contact}",
                  f"The way: {way}. Metal, braid and cover go to ground; exchange the two leads.")
    return True


def _ungrounded(part: Part, metal: Metal, node: str, found: Findings, said: set[str]) -> None:
    net = found.graph.net_at(node)
    if net[0] in said:
        return
    said.add(net[0])
    what = f"the {metal.name} of {part.name}"
    if node in found.maybe_ground:
        found.missing(CIR_106, part.place,
                      f"{what} is grounded only if its nut makes contact with foil or paint")
        return
    rest = [n for n in net if n in touched(found.build) and not n.startswith(part.name + ".")]
    if is_shield(part):
        found.missing(CIR_110, part.place, f"{what} is joined to no ground: it shields nothing",
                      f"Join it to ground with a lead from {part.name}.{metal.lugs[0]}.")
    elif rest:
        verb = "rely" if len(rest) > 1 else "relies"
        found.missing(CIR_107, part.place,
                      f"{', '.join(rest)} {verb} on {what}, which nobody joined to ground",
                      _grounding(found.build, rest[0], what))
    else:
        found.missing(CIR_108, part.place, f"{what} is not on ground",
                      f"Join {part.name}.{metal.lugs[0]} to ground: from case to case a bare wire is usual.")


def _grounding(build: Build, lug: str, what: str) -> str:
    """Metal that leads rely on grounded, or what that would silence; ``lug`` is on its net."""
    lost = silences(build, joined(build, lug, f"{jacks(build)[0].name}.sleeve"))
    if lost:
        return f"Do not ground it as it is wired now: that silences a coil in {lost}. Free it from the signal first."
    return f"Run a lead from {what} to the sleeve of the jack or to a grounded case."


def _strings(found: Findings) -> None:
    """From strings to ground, where a resistor and a capacitor in the wire are no break."""
    build = found.build
    named = [(p, m) for p, m in _pieces(build) if is_strings(p, m)]
    if not named:
        found.say.add(CIR_112, Location(build.file), "the build has no strings: the string ground was not judged")
        return
    for part, metal in named:
        if metal_node(part.name, metal.name) in found.ground:
            continue
        if grounded_through(build, part, metal):
            _string_network(part, metal, found)
        else:
            found.missing(CIR_111, part.place, "nothing leads from the strings to ground",
                          f"Run a lead from {part.name}.{metal.lugs[0]} to ground; then meter strings to sleeve.")


def _string_net(node: str, found: Findings) -> bool:
    """Whether metal is on one net with strings that a resistor or capacitor joins to ground: no plain wire is meant."""
    net = set(found.graph.net_at(node))
    return any(metal_node(p.name, m.name) in net and grounded_through(found.build, p, m)
               for p, m in _pieces(found.build) if is_strings(p, m))


def is_strings(part: Part, metal: Metal) -> bool:
    """Whether a piece of metal is the strings, or bridge, tailpiece or claw that they lie on."""
    return "string" in metal.name or "string" in part.symbol.kind


def grounded_through(build: Build, part: Part, metal: Metal) -> bool:
    """Whether metal reaches a sleeve by wire, or through nothing but resistors and capacitors."""
    graph = connect(build)
    pairs = [(e.a, e.b) for e in graph.edges if e.sure]
    for other, element in elements_of(build, "resistor", "capacitor"):
        a, b = (f"{other.name}.{lug}" for lug in element.ends.values())
        pairs.append((a, b))
    node = metal_node(part.name, metal.name)
    net = next(n for n in classes(graph.nodes, pairs) if node in n)
    return any(f"{j.name}.sleeve" in net for j in jacks(build))


def _string_network(part: Part, metal: Metal, found: Findings) -> None:
    """Strings that reach ground through a resistor or capacitor instead of a wire."""
    reading = string_reading(found.build, part, metal)
    found.say.add(CIR_118, part.place, f"no plain wire grounds the strings: strings to sleeve reads {reading}")


def string_reading(build: Build, part: Part, metal: Metal) -> str:
    """What an ohmmeter shows from strings to sleeve through the network in their wire, in words."""
    here = template_of(build)
    for jack in jacks(build):
        reading = read(here, classes_of(here, (), ()), f"{part.name}.{metal.lugs[0]}", f"{jack.name}.sleeve")
        if reading.kind == "value" and reading.ohms is not None:
            return f"about {quantity(reading.ohms, RESISTANCE)}, so it does not beep"
    return "open, for only a capacitor lies in the wire"


def _forgotten(found: Findings) -> None:
    """Lugs that an element needs and no lead reaches; parts without any lead."""
    used = touched(found.build)
    for part in found.build.parts.values():
        lugs = [lug for lug in part.symbol.lug_names() if not used.intersection(found.graph.net_of(part.name, lug))]
        if len(lugs) == len(part.symbol.lug_names()):
            if part not in jacks(found.build) and not is_shield(part):
                found.say.add(CIR_117, part.place, f"no lead ends on {part.name}")
            continue
        for lug in _needed(part, lugs):
            found.say.add(CIR_116, part.place, f"no lead ends on {part.name}.{lug}")


def bare_lugs(build: Build, graph: Graph) -> Iterator[str]:
    """Lugs of wired parts that an element cannot do without and no lead reaches."""
    used = touched(build)
    for part in build.parts.values():
        lugs = [lug for lug in part.symbol.lug_names() if not used.intersection(graph.net_of(part.name, lug))]
        if len(lugs) < len(part.symbol.lug_names()):
            yield from (f"{part.name}.{lug}" for lug in _needed(part, lugs))


def _needed(part: Part, bare: list[str]) -> list[str]:
    """Those of the unwired lugs that an element cannot do without."""
    shared = [lug for e in part.symbol.elements for lug in e.ends.values()]
    switched = {lug for t in part.symbol.contacts for r in t.rows for j in r.joins for lug in j}
    found: list[str] = []
    for element in part.symbol.elements:
        left = [lug for lug in element.ends.values()
                if lug in bare and lug not in switched and shared.count(lug) == 1]
        control = part.symbol.control(element.by)
        blend = control is not None and control.detent
        if element.kind == "track" and element.ends["wiper"] not in left and len(left) < 2 and not blend:
            continue  # a tone or a rheostat uses two of the three
        if element.kind != "link":
            found += left
    return list(dict.fromkeys(found))
