"""The proof of a build: its chart, and what the solved states show to be wrong."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from diagramgen.build.model import Build, Part
from diagramgen.circuit.bypassed import check_bypassed
from diagramgen.circuit.chart import Chart, Result, chart, drawn, sounding
from diagramgen.circuit.contactrules import check_contacts
from diagramgen.circuit.graph import connect
from diagramgen.circuit.knobrules import check_knobs
from diagramgen.circuit.network import frame
from diagramgen.circuit.phases import check_phases
from diagramgen.circuit.readings import Bench
from diagramgen.circuit.repair import Repair, lead_lacking, smallest_change
from diagramgen.circuit.roles import jacks
from diagramgen.circuit.rules import check_connections, path_words
from diagramgen.circuit.signs import contradictions
from diagramgen.circuit.staterules import check_states
from diagramgen.circuit.states import TooMany, classes_of, space
from diagramgen.circuit.values import SOUNDING, elements_of, faults, knobs_of, law_of, source_name
from diagramgen.circuit.wanted import check_wanted, matching, mismatches, words
from diagramgen.problems import Collector, Place, Problem
from diagramgen.units import number

SHORTED = 0.1
"""Ampere from the battery that no instrument draws: only the battery's own resistance is in the way."""
BROKEN = frozenset({"C301", "C302", "C303", "C304", "C305"})
"""What is said of promises."""
OF_CONTROLS = tuple(f"C{number}" for number in range(253, 290))
"""Codes of what a control does not do that its kind is for."""
FEW = 2000
"""States above which knobs are not studied one by one."""


def prove(
    build: Build,
    say: Collector,
    knobs: Mapping[str, float] | None = None,
    select: Mapping[str, str | Sequence[str]] | None = None,
    bench: Bench | None = None,
    mend: bool = False,
) -> Chart | None:
    """Solve every state and say what is wrong; None where nothing could be solved.

    ``mend``: search for the smallest change of leads where a wanted sound is not given, or where every one is given
    and a lead seems to be missing.
    """
    if not _solvable(build, say):
        return None
    try:
        found = chart(build, knobs, select, bench)
    except TooMany as fault:
        say.error("C205", Place(build.file), str(fault), "Choose: --state with the controls that stand still.")
        return None
    except ValueError as fault:
        say.error("C200", Place(build.file), f"the circuit cannot be solved: {fault}", "Correct it and run again.")
        return None
    if not knobs:
        mended = _mended(found) if mend else None
        check_wanted(found, say, mended.text if mended else "")
    if not knobs and not select:
        check_bypassed(build, say)
        _silence(found, say)
        _never_heard(found, say)
        _battery(found, say)
        _ring(build, say)
        _blends(found, say)
        check_states(found, say)
        check_phases(found, say)
        check_contacts(found, say)
        check_knobs(found, say)
        if mend and mended is None:
            _say_lacking(build, say)
    return found


def _mended(found: Chart) -> Repair | None:
    """The smallest change of leads for a build that breaks a promise; None where it has too many states to be told."""
    if not any(m.kind != "unknown" for m in mismatches(found)):
        return None
    try:
        return smallest_change(found.build, complaints=complaints)
    except TooMany:
        return None


def _lead_lacking(build: Build, said: Iterable[Problem]) -> Repair | None:
    """The lead that a build lacks which keeps its promises; None where it makes none, or lacks none."""
    places = {p.place for p in said if p.code in OF_CONTROLS}
    return lead_lacking(build, complaints, places) if build.wanted else None


def _say_lacking(build: Build, say: Collector) -> None:
    found = _lead_lacking(build, say)
    if found is not None and found.guess:
        first = found.change or found.rivals[0]
        changed = next(lead for lead in reversed(first.leads) if lead not in build.leads)
        say.note("C306", build.parts[changed.start.part].place, found.guess,
                 "Look at the instrument first. Every wanted sound stays true with it, and nothing new is said.")


def remedy(build: Build) -> Repair | None:
    """What is proposed for a build: None where no promise is broken and no lead seems to be missing."""
    try:
        return _mended(chart(build)) or _lead_lacking(build, complaints(build))
    except ValueError:
        return None


def complaints(build: Build) -> tuple[Problem, ...]:
    """All that is said of a build's wiring but broken promises: a proposal may not add to it."""
    say = Collector()
    check_connections(build, say)
    prove(build, say)
    return tuple(p for p in say.sorted() if p.code not in BROKEN)


def _solvable(build: Build, say: Collector) -> bool:
    bad = False
    for part, sentence in faults(build):
        say.error("C201", part.place, sentence, "Give the value as it is printed on the part.")
        bad = True
    for part, sentence in contradictions(build):
        say.error("C202", part.place, sentence,
                  "Kick is winding times magnet: clockwise with north kicks plus. Meter again.")
    found = jacks(build)
    if not found:
        say.error("C203", Place(build.file), "the build has no output jack: nothing can be heard or metered",
                  "Put the jack in, with its tip and sleeve.")
        return False
    if len(found) > 1:
        say.note("C204", found[1].place, f"there are {len(found)} jacks; the output is read at {found[0].name}",
                 "Write the output jack first.")
    if not any(True for _ in elements_of(build, *SOUNDING)):
        say.note("C206", Place(build.file), "no part of the build makes a signal", "Put the pickups in.")
    return not bad


def _silence(found: Chart, say: Collector) -> None:
    """States in which nothing is heard though nobody asked for silence."""
    asked = {id(result) for w in found.build.wanted if w.sounds == "silent" for _, result in matching(found, w)}
    silent = [(i, r) for i in range(found.count)
              if (r := found.result(i)).sound.silent and r.plug == "mono" and not found.space.momentary(i)]
    if len(silent) == _played(found) or not silent:
        if silent:
            say.error("C211", found.build.parts[jacks(found.build)[0].name].place, "nothing is heard in any state",
                      "Follow the signal from a coil to the tip with the meter; then the ground to the sleeve.")
        return
    for muted in (True, False):
        members = [i for i, r in silent if _muted(r) is muted and id(r) not in asked]
        if members:
            _say_silent(found, members, muted, say)


def _say_silent(found: Chart, members: Sequence[int], muted: bool, say: Collector) -> None:
    place = jacks(found.build)[0].place
    where = words(found.space.state(members[0]), found.space)
    more = f" and {len(members) - 1} more state{'s' if len(members) > 2 else ''}" if len(members) > 1 else ""
    meant = "If it is meant, add it to 'wanted' with sounds: silent."
    if muted:
        say.warning("C213", place, f"hot is shorted to ground in {where}{more}",
                    f"The way: {_short_way(found, members[0])}. {meant}")
    else:
        say.warning("C210", place, f"silent in {where}{more}: no coil reaches the tip", meant)


def _short_way(found: Chart, index: int) -> str:
    """What joins tip and sleeve in a state; a wiper at the end of its track is no edge of the graph."""
    jack = jacks(found.build)[0]
    tip = f"{jack.name}.tip"
    path = connect(found.build, found.space.state(index)).path(tip, f"{jack.name}.sleeve")
    return path_words(path, tip) if path is not None else "through a wiper at the end of its track"


def _played(found: Chart) -> int:
    return sum(1 for i in range(found.count) if found.result(i).plug == "mono" and not found.space.momentary(i))


def _muted(result: Result) -> bool:
    return result.reading.kind == "value" and not result.reading.ohms


def _never_heard(found: Chart, say: Collector) -> None:
    """Coils that sound in no state with any knob at 0, 5 or 10."""
    build = found.build
    if _mute(found) and any(p.code == "C211" for p in say):
        return  # no coil is heard, and that was said
    missing = {source_name(p, e): p for p, e in elements_of(build, *SOUNDING)}
    for name in _heard(found):
        missing.pop(name, None)
    if missing and found.count <= FEW:
        for knob in knobs_of(build):
            for turn in (0.0, 5.0):
                for name in sounding(build, {knob: turn}, missing) if missing else ():
                    missing.pop(name, None)
    for name, part in missing.items():
        if not _on_ring(build, part):
            say.warning("C212", part.place, f"{name} is never heard, in any state",
                        "Follow both its leads: one to ground, one to the tip, each through contacts that close.")


def _heard(found: Chart) -> Iterator[str]:
    for result in found.results:
        yield from (h.coil for h in result.sound.sounding)


def _on_ring(build: Build, part: Part) -> bool:
    """Whether a part's lug is on the ring of the jack: heard with a stereo plug."""
    here = frame(build)
    ring = here.jack_net("ring")
    return ring is not None and any(here.lug(f"{part.name}.{lug}") == ring for lug in part.symbol.lug_names())


def _battery(found: Chart, say: Collector) -> None:
    cells = [part for part, _ in elements_of(found.build, "cell")]
    if not cells:
        return
    plugs = {d.keys[0]: [p[0] for p in d.positions]
             for d in space(found.build, all_plugs=True).digits if d.kind == "plug"}
    most = drawn(found.build, plugs)
    place = cells[0].place
    if max(most.values()) > 0.99 * SHORTED:  # else there is no state to be named
        whole = chart(found.build, select=plugs)
        worst = max(whole.results, key=lambda r: r.current)
        if worst.current > SHORTED:
            say.error("C224", place, f"the battery is shorted: {words(whole.space.state(worst.first), whole.space)}",
                      "Battery out at once. Follow plus and minus with the meter: they must not meet.")
            return
    if most["out"] > 0:
        say.error("C220", place, f"the battery is drained with the plug out: {number(most['out'] * 1000, 2)} mA",
                  "Switch it with the plug: battery minus to the ring of a stereo jack, or a switched jack.")
    if most["mono"] == 0:
        say.error("C222", place, "the battery is never on with a mono plug in",
                  "Follow plus to the board and minus to what the plug joins.")
    elif most["stereo"] == 0:
        # A note: nobody promised that a stereo plug works, yet it must be told.
        say.note("C221", place, "a stereo plug leaves the battery off: the board is dead with it",
                    "Use mono plugs, or a jack with switch contacts of its own.")


def _ring(build: Build, say: Collector) -> None:
    """A transducer or active output on the ring, which a mono plug joins to the sleeve."""
    here = frame(build)
    states = space(build, all_plugs=True)
    plugs = [d for d in states.digits if d.kind == "plug"]
    if not plugs:
        return
    mono = classes_of(here, plugs, [next((i for i, p in enumerate(d.positions) if p[0] == "mono"), 0) for d in plugs])
    ring, sleeve = here.jack_net("ring"), here.jack_net("sleeve")
    if ring is None or sleeve is None or mono[ring] != mono[sleeve]:
        return
    ends = {"transducer": ("hot", "ground"), "buffer": ("out", "ground"), "coil": ("start", "finish")}
    for part, element in elements_of(build, *ends):
        hot, ground = (here.lug(f"{part.name}.{element.ends[end]}") for end in ends[element.kind])
        on_ring = hot == ring or (element.kind == "coil" and ground == ring)
        if on_ring and hot != ground and mono[hot] == mono[ground]:
            say.error("C223", part.place, f"{part.name} is on the ring of the jack: a mono plug shorts it",
                      "Say so to the player, or give it a jack of its own; a battery cannot share this ring.")


def _mute(found: Chart) -> bool:
    """Whether nothing is heard in any state with a mono plug in."""
    return all(r.sound.silent for r in found.results if r.plug == "mono")


def _blends(found: Chart, say: Collector) -> None:
    """Knobs with a centre detent: silent at both ends only, or gangs that are no blend law."""
    build = found.build
    blends: dict[str, list[tuple[Part, str]]] = {}
    for part, element in elements_of(build, "track"):
        control = part.symbol.control(element.by)
        if control is not None and control.detent:
            blends.setdefault(f"{part.name}.{element.by}", []).append((part, law_of(part, element).name))
    for knob, gangs in blends.items():
        part = gangs[0][0]
        if len(gangs) > 1 and any(name == "linear" for _, name in gangs):
            say.error("C231", part.place,
                      f"{part.name} has linear gangs: in its centre each pickup passes half a track",
                      "A blend needs half-dead gangs: each on its end for half of the turn.")
        if len(gangs) > 1 and not _mute(found) and all(_mute(chart(build, {knob: turn})) for turn in (0.0, 10.0)):
            say.error("C230", part.place, f"silent at both ends of {part.name}: each end grounds the output",
                      "The pickups go to the wipers, the output to the ends.")
