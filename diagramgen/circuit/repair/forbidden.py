"""What a proposal may not do to an instrument, and how good one is that does none of it.

A change of leads that keeps every promise can still ruin an instrument: a volume bypassed, a cover off ground, a coil
heard through a track. ``Rules`` holds a changed build against the build as it was. The rules:

* metal, covers, strings and braids that are on ground stay on ground; bent lugs stay bent;
* no coil, transducer or track is newly joined to a battery's plus;
* no two ends of one element that were apart are joined, no coil is newly heard through a track's resistance or a
  component, and none that passed a volume passes it by;
* a volume mutes every coil in whose way it lies, and what one lowers on its first half turn is still lowered;
  a tone still takes ``DARK_DB`` of the treble, or what it took;
* no splice is left with a lead that meets nothing there;
* every promise is kept in every state, and neither a warning, an error nor a bare lug is new.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from diagramgen.circuit.check_wanted import mismatches
from diagramgen.circuit.net_roles import ground_nodes, jacks
from diagramgen.circuit.nets import Graph, connect
from diagramgen.circuit.repair.coil_paths import Ways, loud, ways
from diagramgen.circuit.rules.connections import touched
from diagramgen.circuit.rules.knobs import DARK_DB, Reach, takes
from diagramgen.circuit.state_table import state_table
from diagramgen.circuit.states import StateSpace
from diagramgen.circuit.values import SOUNDING, elements_of, lug_of, rest_turn
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Problem
from diagramgen.model.build import Build

SLACK_DB = 1.0
"""What a knob may take less than before, where it never took as much as that."""
HALF_DB = 5.0
"""What a knob takes of a coil's bass on its first half turn down to be one that lowers it (a linear volume: 6 dB)."""
NOT_LUGS = ("metal of ", "plate of ", "braid of ")
"""How nodes that are no lugs begin."""
HEARD_ENDS = frozenset({"start", "finish", "hot", "ground", "ten", "wiper", "zero", "in", "out"})
"""Ends of coils, transducers, tracks and buffers that lie in the way of sound."""
BARE = frozenset({"CIR-116", "CIR-117", "CIR-120"})
"""Notes on lugs without a lead and leads that lead nowhere."""

Complaints = Callable[[Build], Iterable[Problem]]
"""All that is said of a build but broken promises."""


@dataclass(frozen=True)
class Standing:
    """How a changed build that breaks no rule stands; of two the smaller is the better one."""

    left: int
    """Warnings, errors and bare lugs that are left, and volumes that do not mute."""
    through: int
    """Coils heard only through a track's resistance, counted in the states looked at."""
    past: int
    """Coils that pass no knob where others do."""
    idle: int
    """Pots with three wired lugs in the way of no coil."""
    unlike: int
    """How many different sets of knobs coils pass."""
    toned: int
    """Tones in the way of coils."""
    darkened: int
    """Per mille of the coils, counted in every state, that some tone darkens."""
    reach: int
    """The sum of the same for every tone."""
    passed: int
    """Knobs that coils pass, counted for each coil."""
    dull: frozenset[str]
    """Knobs (``part.control``) that do next to nothing."""
    unproved: bool
    """Whether some promise can be neither proved nor disproved."""


class Rules:
    """Holds changed builds against one build. Raises ``ValueError`` as ``state_table`` does."""

    def __init__(self, build: Build, states: StateSpace, indices: Collection[int], complaints: Complaints):
        self.build, self.states, self.indices, self.complaints = build, states, indices, complaints
        graph = connect(build)
        self.grounded = frozenset(n for n in ground_nodes(build, graph) if n.startswith(NOT_LUGS))
        self.bends = frozenset(lead for lead in build.leads if lead.kind == "bend")
        self.apart = [pair for pair in _pairs(build) if not graph.joined(*pair)]
        self.alone = _alone(build, graph)
        self.plus = [lug_of(p, e, "plus") for p, e in elements_of(build, "cell", "buffer")]
        self.fed = frozenset(lug_of(p, e, end) for p, e in elements_of(build, *SOUNDING, "track", "buffer")
                             for end in e.ends if end in HEARD_ENDS)
        self.fed -= {lug for plus in self.plus for lug in graph.net_at(plus)}
        self.tones = _tones(build, graph)
        self.ways = ways(build, states, indices)
        self.takes = takes(state_table(build))
        self.loud = loud(build, states, self.ways)
        self.said = list(complaints(build))

    @property
    def left(self) -> int:
        """What is said of the build as it is, as ``Standing.left`` counts it."""
        return _left(self.said) + len(self.loud) + _one_sided(self.build)

    def harm(self, after: Build, graph: Graph) -> str:
        """What a change does to grounds, bends and tracks, seen without solving anything; '' where it does nothing."""
        if not self.bends <= set(after.leads):
            return "a bent lug is moved"
        lost = self.grounded - ground_nodes(after, graph)
        if lost:
            return f"{min(lost)} is taken off ground"
        for a, b in self.apart:
            if graph.joined(a, b):
                return f"{a} and {b} are joined"
        for plus in self.plus:
            fed = self.fed.intersection(graph.net_at(plus))
            if fed:
                return f"{min(fed)} is joined to the battery's plus"
        alone = _alone(after, graph) - self.alone
        return f"{min(alone)} joins nothing any more" if alone else ""

    def stands(self, after: Build, graph: Graph) -> Standing | str:
        """How a change stands that does no ``harm``, or the rule it breaks."""
        found = state_table(after)
        kinds = {m.kind for m in mismatches(found)}
        if kinds - {"unknown"}:
            return "a promise is broken"
        now = ways(after, self.states, self.indices)
        wrong = self._strayed(now)
        if wrong:
            return wrong
        said = list(self.complaints(after))
        wrong = _new(self.said, said)
        if wrong:
            return wrong
        reach = takes(found)
        unmuted = loud(after, self.states, now)
        wrong = self._weaker(reach, now, unmuted)
        if wrong:
            return wrong
        past = sum(1 for knobs in now.knobs.values() if not knobs) if now.volumes or self.ways.volumes else 0
        return Standing(_left(said) + len(unmuted) + _one_sided(after), len(now.through), past,
                        _idle(after, graph, now), len(set(now.knobs.values())),
                        sum(len(knobs & self.tones) for knobs in now.knobs.values()),
                        _darkened([r for knob, r in reach.items() if knob not in now.volumes]),
                        sum(_darkened([r]) for knob, r in reach.items() if knob not in now.volumes),
                        sum(map(len, now.knobs.values())),
                        frozenset(knob for knob, r in reach.items() if max(r.bass, r.treble) < DARK_DB),
                        "unknown" in kinds)

    def _strayed(self, now: Ways) -> str:
        """A coil that newly plays through a track, or past the volume it passed."""
        for heard in sorted(now.through - self.ways.through):
            if not self.ways.through:
                return f"{heard[1]} plays through a track"
        for heard, knobs in self.ways.knobs.items():
            if knobs and not now.knobs.get(heard, knobs):
                return f"{heard[1]} passes its volume by"
        return ""

    def _weaker(self, reach: Mapping[str, Reach], now: Ways, unmuted: Collection[tuple[str, int, str]]) -> str:
        """A knob that no longer does what it did."""
        before = {knob for knob, _, _ in self.loud}
        for knob, _, coil in sorted(unmuted):
            if knob not in before:
                return f"{knob} does not mute {coil}"
        for knob, did in self.takes.items():
            if knob not in now.volumes and reach[knob].treble < min(did.treble, DARK_DB) - SLACK_DB:
                return f"{knob} no longer does what it did"
        # A knob may lower more than its own where a ground lead is missing: some volume of a coil still has to.
        lower = _lowered(reach, now)
        for coil, fall in _lowered(self.takes, self.ways).items():
            if fall >= HALF_DB and lower.get(coil, 0.0) < HALF_DB / 2:
                return f"no volume lowers {coil} on its way down any more"
        return ""


def _lowered(reach: Mapping[str, Reach], here: Ways) -> dict[str, float]:
    """dB that the first half turn down of a volume takes of each coil, by the volume that takes most."""
    found: dict[str, float] = {}
    for knob in here.volumes.intersection(reach):
        for coil, fall in reach[knob].halves.items():
            found[coil] = max(found.get(coil, 0.0), fall)
    return found


def _pairs(build: Build) -> list[tuple[str, str]]:
    """Every two ends of one element."""
    return [(a, b) for part, element in elements_of(build) if element.kind != "link"
            for a, b in combinations([lug_of(part, element, end) for end in element.ends], 2)]


def _alone(build: Build, graph: Graph) -> frozenset[str]:
    """Splices and tags on which a lead ends that meets nothing there."""
    ends = Counter(str(end) for lead in build.leads for end in (lead.start, lead.end))
    lugs = [f"{p.name}.{lug}" for p in build.parts.values()
            if not (p.symbol.elements or p.symbol.contacts or p.symbol.metal or p in jacks(build))
            for lug in p.symbol.lug_names()]
    return frozenset(lug for lug in lugs if sum(ends[node] for node in graph.net_at(lug) if node in lugs) == 1)


def _new(before: Iterable[Problem], after: Iterable[Problem]) -> str:
    """A warning, an error, or a bare lug of an element that was not there before."""
    known = Counter((p.code, str(p.place)) for p in before if p.severity is not Severity.NOTE)
    bare = {p.message for p in before if p.code in BARE}
    for problem in after:
        if problem.severity is Severity.NOTE:
            if problem.code in BARE and problem.message not in bare:
                return problem.message
        elif known[problem.code, str(problem.place)] == 0:
            return f"{problem.code} is new: {problem.message}"
        else:
            known[problem.code, str(problem.place)] -= 1
    return ""


def _darkened(reach: Sequence[Reach]) -> int:
    """Per mille of the coils looked at in every state of which one of these knobs takes treble."""
    every = {heard for r in reach for heard in r.looked_at}
    return 1000 * len({heard for r in reach for heard in r.darkens}) // len(every) if every else 0


def _tones(build: Build, graph: Graph) -> frozenset[str]:
    """Knobs with a capacitor on a lug of their track, off ground, that does not lead to another such lug of it."""
    found = set()
    ground = ground_nodes(build, graph)
    caps = [[lug_of(p, e, end) for end in e.ends] for p, e in elements_of(build, "capacitor")]
    for part, element in elements_of(build, "track"):
        nets = {node for end in element.ends for node in graph.net_at(lug_of(part, element, end))} - ground
        if any(sum(lug in nets for lug in cap) == 1 for cap in caps):
            found.add(f"{part.name}.{element.by}")
    return frozenset(found)


def _idle(build: Build, graph: Graph, now: Ways) -> int:
    """Pots with a lead on each of three lugs apart, as a volume has, in the way of no coil."""
    used = touched(build)
    found = set()
    for part, element in elements_of(build, "track"):
        nets = {graph.net_at(lug_of(part, element, end)) for end in element.ends}
        wired = len(nets) == 3 and all(used.intersection(net) for net in nets)
        if wired and rest_turn(part, element.by) == 10.0 and f"{part.name}.{element.by}" not in now.volumes:
            found.add(f"{part.name}.{element.by}")
    return len(found)


def _one_sided(build: Build) -> int:
    """Knobs with a detent that silence all at one of their ends."""
    knobs = dict.fromkeys(f"{part.name}.{element.by}" for part, element in elements_of(build, "track")
                          if (control := part.symbol.control(element.by)) is not None and control.detent)
    ends = [state_table(build, {knob: turn}) for knob in knobs for turn in (0.0, 10.0)]
    return sum(all(result.sound.silent for result in end.results) for end in ends)


def _left(said: Iterable[Problem]) -> int:
    return sum(1 for p in said if p.severity is not Severity.NOTE or p.code in BARE)
