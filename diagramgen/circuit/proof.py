"""The proof of a build: its chart, and what the solved states show to be wrong."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from diagramgen.circuit.check_wanted import check_wanted, matching, mismatches, words
from diagramgen.circuit.dc_readings import Bench
from diagramgen.circuit.exchange_lugs import exchange_words, ground_first, turned_round
from diagramgen.circuit.grounding import check_apart
from diagramgen.circuit.knob_sweep import knob_word
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.nets import connect
from diagramgen.circuit.phases import check_phases
from diagramgen.circuit.polarity import contradictions
from diagramgen.circuit.repair.search import Repair, bare_pair, lead_lacking, smallest_change
from diagramgen.circuit.rules.batteries import check_battery
from diagramgen.circuit.rules.connections import check_connections, path_words
from diagramgen.circuit.rules.contacts import check_contacts
from diagramgen.circuit.rules.idle_parts import check_parts
from diagramgen.circuit.rules.idle_switches import check_switches
from diagramgen.circuit.rules.knobs import check_knobs
from diagramgen.circuit.rules.outputs import check_outputs
from diagramgen.circuit.rules.states import check_states
from diagramgen.circuit.state_table import Chart, Result, chart, sounding
from diagramgen.circuit.states import TooMany
from diagramgen.circuit.values import SOUNDING, elements_of, faults, knobs_of, law_of, lug_of, source_name
from diagramgen.kernel.diagnostics import Collector, Place, Problem
from diagramgen.model.build import Build, Part

# Two-ended parts with both ends on one net whatever the switches do: they do nothing where they sit.

KINDS = ("resistor", "capacitor", "coil", "lamp", "transducer")


def check_bypassed(build: Build, say: Collector) -> None:
    """Warn of every resistor, capacitor, coil, lamp or transducer whose ends leads or metal join (C119)."""
    graph = connect(build)
    for part, element in elements_of(build, *KINDS):
        one, other = (lug_of(part, element, end) for end in element.ends)
        path = graph.path(one, other)
        if path is None or all(edge.kind == "link" for edge in path):
            continue
        name = source_name(part, element) if element.kind in ("coil", "transducer") else part.name
        said = f"both ends of {name} are on one net: it does nothing there"
        say.warning("C119", part.place, said, f"The way: {path_words(path, one)}. Move one end to where it belongs.")


BROKEN = frozenset({"C260", "C301", "C302", "C303", "C304", "C305"})
"""What is said of promises, those that cannot be proved among them."""
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
        check_battery(found, say)
        check_outputs(found, say)
        _blends(found, say)
        check_states(found, say)
        check_phases(found, say)
        check_apart(build, say)
        check_contacts(found, say)
        check_switches(found, say)
        check_parts(found, say)
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
    return lead_lacking(build, complaints, places) if build.wanted else bare_pair(build, complaints)


def _say_lacking(build: Build, say: Collector) -> None:
    found = _lead_lacking(build, say)
    if found is not None and found.guess:
        first = found.change or found.rivals[0]
        changed = next(lead for lead in reversed(first.leads) if lead not in build.leads)
        stays = f"{found.kept.capitalize()} stays true with it" if build.wanted else \
            "No wanted sound says what was meant; both ends are bare, and with it no such end is left"
        say.note("C306", build.parts[changed.start.part].place, found.guess,
                 f"Look at the instrument first. {stays}, and nothing new is said.")


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
        say.note("C204", found[1].place, f"there are {len(found)} jacks; {found[0].name} is the main output, meant "
                 "wherever none is named", f"Write the main output first; a wanted sound of another says at: "
                 f"{found[1].name}.")
    if not any(True for _ in elements_of(build, *SOUNDING)):
        say.note("C206", Place(build.file), "no part of the build makes a signal", "Put the pickups in.")
    return not bad


def _silence(found: Chart, say: Collector) -> None:
    """States in which nothing is heard at any output though nobody asked for silence."""
    asked = {id(result) for w in found.build.wanted if w.sounds == "silent" for _, result in matching(found, w)}
    played = list(_played(found))
    _open_tips(found, asked, say)
    silent = [(i, r) for i, r in played if r.silent]
    if len(silent) == len(played) or not silent:
        if silent:
            _say_mute(found, say)
        return
    for muted in (True, False):
        members = [i for i, r in silent if _muted(r) is muted and id(r) not in asked]
        if members:
            _say_silent(found, members, muted, say)


def _open_tips(found: Chart, asked: Collection[int], say: Collector) -> None:
    """Silence that is wanted and comes of a contact that hangs open, where a cable picks up hum (C232)."""
    for output in found.outputs:
        members = [i for i, one in found.played(output) if one.floating and id(found.result(i)) in asked]
        if members:
            more = f" and {len(members) - 1} more state{'s' if len(members) > 2 else ''}" if len(members) > 1 else ""
            say.warning("C232", found.build.parts[output.jack].place,
                        f"{output.lug} hangs open in {words(found.space.state(members[0]), found.space)}{more}, where "
                        "silence is wanted: the plug reads open",
                        "An open tip picks up hum and buzz through the cable: to mute, join it to the sleeve there.")


def _say_mute(found: Chart, say: Collector) -> None:
    """Nothing is heard at rest; whether a knob that is turned lets something through."""
    place, sources = jacks(found.build)[0].place, {source_name(p, e) for p, e in elements_of(found.build, *SOUNDING)}
    for knob, rest in knobs_of(found.build).items() if found.count <= FEW else ():
        for turn in (0.0, 5.0):
            heard = sounding(found.build, {knob: turn}, sources) if turn != rest else frozenset()
            if heard:
                say.error("C211", place, f"nothing is heard in any state with {knob_word(knob)} at {rest:.0f}; with it "
                          f"at {turn:.0f} {' and '.join(sorted(heard))} sound{'s' if len(heard) == 1 else ''}",
                          _turned_round(found.build, knob, heard))
                return
    say.error("C211", place, "nothing is heard in any state",
              "Follow the signal from a coil to the tip with the meter; then the ground to the sleeve.")


def _turned_round(build: Build, knob: str, heard: Collection[str]) -> str:
    """What to do about a knob that silences at rest: mend its ground, else exchange its ends where that does."""
    gangs = [(p, e) for p, e in elements_of(build, "track") if f"{p.name}.{e.by}" == knob]
    first = ground_first(build, gangs, heard)
    if first:
        return first
    if turned_round(build, gangs, heard) is not None:
        return exchange_words(gangs)
    return f"Follow the signal through {knob_word(knob)} with the meter."


def _say_silent(found: Chart, members: Sequence[int], muted: bool, say: Collector) -> None:
    place = jacks(found.build)[0].place
    where = words(found.space.state(members[0]), found.space)
    more = f" and {len(members) - 1} more state{'s' if len(members) > 2 else ''}" if len(members) > 1 else ""
    meant = "If it is meant, add it to 'wanted' with sounds: silent."
    if muted:
        say.warning("C213", place, f"hot is shorted to ground in {where}{more}",
                    f"The way: {_short_way(found, members[0])}. {meant}")
    else:
        reached = "any output" if found.several else "the tip"
        loose = any(one.floating for index in members for one in found.result(index).heard)
        buzz = "The plug reads open: with a cable in, it picks up hum and buzz. " if loose else ""
        say.warning("C210", place, f"silent in {where}{more}: no coil reaches {reached}", buzz + meant)


def _short_way(found: Chart, index: int) -> str:
    """What joins a contact and its sleeve in a state; a wiper at the end of its track is no edge of the graph."""
    graph = connect(found.build, found.space.state(index))
    for output in (one.output for one in found.result(index).heard):
        path = graph.path(output.lug, output.sleeve)
        if path is not None:
            return path_words(path, output.lug)
        for one, other in _joined_by_wipers(found):
            first, second = graph.path(output.lug, one), graph.path(other, output.sleeve)
            if first is not None and second is not None:
                return f"{path_words(first, output.lug)}, along the track's end to {path_words(second, other)}"
    return "through a wiper at the end of its track"


def _joined_by_wipers(found: Chart) -> Iterator[tuple[str, str]]:
    """Wiper and end of each track turned to that end, and the other way round."""
    turns = {**knobs_of(found.build), **found.knobs}
    for part, element in elements_of(found.build, "track"):
        end = {0.0: "zero", 10.0: "ten"}.get(turns.get(f"{part.name}.{element.by}", 10.0))
        if end is not None:
            wiper, at = f"{part.name}.{element.ends['wiper']}", f"{part.name}.{element.ends[end]}"
            yield from ((wiper, at), (at, wiper))


def _played(found: Chart) -> Iterator[tuple[int, Result]]:
    """States in which some output is met as it is played."""
    for index in range(found.count):
        if any(found.space.plays(index, output) for output in found.outputs):
            yield index, found.result(index)


def _muted(result: Result) -> bool:
    return all(one.reading.kind == "value" and not one.reading.ohms for one in result.heard)


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
    where = ", in any state" + (" at any output" if found.several or len(jacks(build)) > 1 else "")
    for name, part in missing.items():
        say.warning("C212", part.place, f"{name} is never heard{where}",
                    "Follow both its leads: one to ground, one to the tip, each through contacts that close.")


def _heard(found: Chart) -> Iterator[str]:
    for result in found.results:
        yield from result.coils


def _mute(found: Chart) -> bool:
    """Whether nothing is heard in any state with a mono plug in."""
    return all(r.silent for r in found.results if r.plug == "mono")


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
