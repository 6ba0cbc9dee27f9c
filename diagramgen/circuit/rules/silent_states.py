"""States in which nothing is heard though nobody asked for silence."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from diagramgen.circuit.check_wanted import matching, words
from diagramgen.circuit.knob_advice import exchange_words, ground_first, turned_round
from diagramgen.circuit.knob_sweep import knob_word
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.nets import connect
from diagramgen.circuit.rules.connections import path_words
from diagramgen.circuit.rules.rule import Rule
from diagramgen.circuit.state_table import StateResult, StateTable, sounding
from diagramgen.circuit.values import SOUNDING, elements_of, knobs_of, source_name
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.model.build import Build

CIR_210 = Code(
    "CIR-210", Severity.WARNING, "A state that nobody asked to be silent is silent at every output",
    text="The reason is given: no coil reaches the tip (or any output). Where tip and sleeve are joined CIR-213 says "
         "so. A button that is held and a plug that is out do not count.", was="C210")
CIR_211 = Code(
    "CIR-211", Severity.ERROR, "Nothing is heard in any state at any output with the knobs at rest",
    text="Where a knob at 0 or 5 lets something through, that is said. Where a lug of it is joined to metal on no "
         "ground, and with a lead to ground the same is heard at rest, that is to be mended first; else its ends are "
         "to be exchanged where with that, solved, the same is heard and nothing new is said of grounds, metal and "
         "states.",
    advice="Follow the signal from a coil to the tip with the meter; then the ground to the sleeve.", was="C211")
CIR_213 = Code(
    "CIR-213", Severity.WARNING, "Hot is shorted to ground (tip joined to sleeve) in a state that nobody asked to be "
    "silent",
    text="The way from tip to sleeve is named, contact by contact. Shorted by a knob: CIR-241.", was="C213")
CIR_232 = Code(
    "CIR-232", Severity.WARNING, "Silence is wanted in the states named, and the output's contact hangs open there",
    text="The plug reads open.",
    advice="An open tip picks up hum and buzz through the cable: to mute, join it to the sleeve there.", was="C232")

FEW = 2000
"""States above which knobs are not studied one by one."""


def check(found: StateTable, say: Diagnostics) -> None:
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


def _open_tips(found: StateTable, asked: Collection[int], say: Diagnostics) -> None:
    """Silence that is wanted and comes of a contact that hangs open, where a cable picks up hum (CIR-232)."""
    for output in found.outputs:
        members = [i for i, one in found.played(output) if one.floating and id(found.result(i)) in asked]
        if members:
            more = f" and {len(members) - 1} more state{'s' if len(members) > 2 else ''}" if len(members) > 1 else ""
            say.add(CIR_232, found.build.parts[output.jack].place,
                    f"{output.lug} hangs open in {words(found.space.state(members[0]), found.space)}{more}, where "
                    "silence is wanted: the plug reads open")


def _say_mute(found: StateTable, say: Diagnostics) -> None:
    """Nothing is heard at rest; whether a knob that is turned lets something through."""
    place, sources = jacks(found.build)[0].place, {source_name(p, e) for p, e in elements_of(found.build, *SOUNDING)}
    for knob, rest in knobs_of(found.build).items() if found.count <= FEW else ():
        for turn in (0.0, 5.0):
            heard = sounding(found.build, {knob: turn}, sources) if turn != rest else frozenset()
            if heard:
                say.add(CIR_211, place, f"nothing is heard in any state with {knob_word(knob)} at {rest:.0f}; with it "
                        f"at {turn:.0f} {' and '.join(sorted(heard))} sound{'s' if len(heard) == 1 else ''}",
                        _turned_round(found.build, knob, heard))
                return
    say.add(CIR_211, place, "nothing is heard in any state")


def _turned_round(build: Build, knob: str, heard: Collection[str]) -> str:
    """What to do about a knob that silences at rest: mend its ground, else exchange its ends where that does."""
    gangs = [(p, e) for p, e in elements_of(build, "track") if f"{p.name}.{e.by}" == knob]
    first = ground_first(build, gangs, heard)
    if first:
        return first
    if turned_round(build, gangs, heard) is not None:
        return exchange_words(gangs)
    return f"Follow the signal through {knob_word(knob)} with the meter."


def _say_silent(found: StateTable, members: Sequence[int], muted: bool, say: Diagnostics) -> None:
    place = jacks(found.build)[0].place
    where = words(found.space.state(members[0]), found.space)
    more = f" and {len(members) - 1} more state{'s' if len(members) > 2 else ''}" if len(members) > 1 else ""
    meant = "If it is meant, add it to 'wanted' with sounds: silent."
    if muted:
        say.add(CIR_213, place, f"hot is shorted to ground in {where}{more}",
                f"The way: {_short_way(found, members[0])}. {meant}")
    else:
        reached = "any output" if found.several else "the tip"
        loose = any(one.floating for index in members for one in found.result(index).heard)
        buzz = "The plug reads open: with a cable in, it picks up hum and buzz. " if loose else ""
        say.add(CIR_210, place, f"silent in {where}{more}: no coil reaches {reached}", buzz + meant)


def _short_way(found: StateTable, index: int) -> str:
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


def _joined_by_wipers(found: StateTable) -> Iterator[tuple[str, str]]:
    """Wiper and end of each track turned to that end, and the other way round."""
    turns = {**knobs_of(found.build), **found.knobs}
    for part, element in elements_of(found.build, "track"):
        end = {0.0: "zero", 10.0: "ten"}.get(turns.get(f"{part.name}.{element.by}", 10.0))
        if end is not None:
            wiper, at = f"{part.name}.{element.ends['wiper']}", f"{part.name}.{element.ends[end]}"
            yield from ((wiper, at), (at, wiper))


def _played(found: StateTable) -> Iterator[tuple[int, StateResult]]:
    """States in which some output is met as it is played."""
    for index in range(found.count):
        if any(found.space.plays(index, output) for output in found.outputs):
            yield index, found.result(index)


def _muted(result: StateResult) -> bool:
    return all(one.reading.kind == "value" and not one.reading.ohms for one in result.heard)


RULE = Rule(20, check)
