"""What turning a knob shows to be wrong: the wrong way, a law used backwards, nothing at all, muted neighbours.

Each knob is turned alone, all others at rest, in one state of every network. Knobs with a detent (blends) and
trimmers have no right way round: of them only what does nothing, or shorts the output, is said. Treble is the rms of
a coil's transfer from 2 to 8 kHz: it falls with volume and tone alike.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagramgen.circuit.check_wanted import words
from diagramgen.circuit.knob_advice import exchange_words, ground_first, turned_round
from diagramgen.circuit.knob_sweep import MOST, SILENT_DB, TURNS, Turned, knob_word, turned_in
from diagramgen.circuit.netlist import NetlistTemplate, template_of
from diagramgen.circuit.outputs import Output
from diagramgen.circuit.rules.codes import CIR_253
from diagramgen.circuit.rules.connections import touched
from diagramgen.circuit.rules.halfway_volumes import check_halfway
from diagramgen.circuit.rules.knob_kinds import CIR_254, CIR_255, check_blend, check_kind
from diagramgen.circuit.rules.rule import Rule
from diagramgen.circuit.state_table import StateTable, coils_of, sounding, state_table
from diagramgen.circuit.states import classes_of
from diagramgen.circuit.values import elements_of, knobs_of, law_of, lug_of
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.library.model import Element
from diagramgen.model.build import Build, Part

CIR_241 = Code(
    "CIR-241", Severity.WARNING, "A pot that is no divider (one outer lug is free) joins hot straight to ground at "
    "one end of its way: the capacitor of a tone branch is missing or bypassed",
    advice="A tone branch needs its capacitor between pot and ground; a volume needs all three lugs.", was="C241")
CIR_243 = Code(
    "CIR-243", Severity.WARNING, "A knob turns the wrong way",
    text="In some state a coil is louder or brighter (3 dB or more from 2 to 8 kHz) with the knob at 0 than at 10, "
         "and in none the other way round. To exchange what is on the 0 end and the 10 end is advised as for CIR-211: "
         "only where, solved, it mends and does no harm; a missing ground lead comes first. Knobs with a detent and "
         "trimmers have no right way round and are not judged.", was="C243")
CIR_244 = Code(
    "CIR-244", Severity.WARNING, "The log track of a volume or tone is backwards",
    text="A volume loses less than 2.5 dB from 10 to 5, and all the rest on the last stretch (judged where one pickup "
         "sounds alone and all three lugs have leads); a tone loses less than 2.5 % of the decibels of treble (2 to 8 "
         "kHz) that it takes in all (log tracks with usual parts: 7 to 36 %, reverse log ones at most 1.3 %, "
         "computed). Where a log pot turns the wrong way, CIR-243 says so.",
    advice="A volume or tone wants a log track, or a reverse log one only where it turns the other way.", was="C244")
CIR_245 = Code(
    "CIR-245", Severity.WARNING, "Turning a knob, blend or trimmer changes nothing that is heard: its branch leads "
    "nowhere",
    text="Nothing is less than 0.1 dB from 80 Hz to 8 kHz between 0, 5 and 10 in any state, with the other knobs at "
         "rest or at 5. Lugs of its track without a lead are named. Not judged where a source, pot or board is on the "
         "ring of the jack.", was="C245")
CIR_246 = Code(
    "CIR-246", Severity.NOTE, "A volume at 0 mutes the other pickup as well where both are on",
    text="With the pickup on the wiper and the output on the 10 end the other one stays.",
    advice="Usual. Pickup on the wiper, output on the 10 end keeps the other one, at the price of treble when turned "
           "down.", was="C246")

NOTHING_DB = 0.1
"""A knob that changes every curve by less does nothing."""
CLEAR_DB, SLIGHT_DB = 3.0, 0.5
"""What a knob must change to have a sense, and what may go the other way."""
DARK_DB = 6.0
"""What a tone takes of the treble at least (log or linear, with usual capacitors 15 to 35 dB: computed)."""
HALF_DB = 2.5
"""A volume that loses less than this on its first half turn down (linear tracks lose 6 dB) has its law backwards."""
TONE_SHARE = 0.025
"""A tone that loses less of all its treble on the first half has its law backwards: log tracks with usual parts lose
7 to 36 %, linear ones 2 to 7 %, reverse log ones at most 1.3 % (computed over the samples)."""
LOW_DB = 1.0
"""What a tone may change at 80 Hz."""


@dataclass(frozen=True)
class Reach:
    """What a knob takes."""

    bass: float
    """The most dB of any coil's bass between its turns, over the states."""
    treble: float
    """The same of treble."""
    darkens: frozenset[tuple[int, str]]
    """States and coils in them of whose treble it takes ``DARK_DB``."""
    looked_at: frozenset[tuple[int, str]]
    """All that were looked at."""
    halves: Mapping[str, float]
    """dB of bass that its first half turn down takes from each coil at most, over the states."""


def check(found: StateTable, say: Diagnostics) -> None:
    """Every knob of a build, turned alone."""
    build = found.build
    for knob, gangs in _knobs(build).items():
        turned = _where_heard(found, knob)
        if not turned:
            continue
        if _idle(turned):
            # What trims another knob is only heard when that one is turned down.
            half = dict.fromkeys(knobs_of(build), 5.0)
            if all(_idle(list(turned_in(found, knob, states, half, at))) for at, states in _outputs(found)):
                _say_idle(build, knob, gangs, say)
        elif _has_a_way(gangs):
            _way_and_kind(found, knob, gangs, turned, say)
        else:
            check_blend(found, knob, gangs, turned, say)
        _shorts(build, knob, gangs, say)


def takes(found: StateTable) -> dict[str, Reach]:
    """What every knob takes between its turns, each turned alone in one state of every network."""
    states = next(states for _, states in _outputs(found))
    return {knob: _reach([t for t in turned_in(found, knob, states) if t.sources]) for knob in _knobs(found.build)}


def _reach(turned: Sequence[Turned]) -> Reach:
    bass = [_spans([t.curves[turn][0] for turn in TURNS]) for t in turned]
    treble = [_spans([t.treble(turn) for turn in TURNS]) for t in turned]
    darkens = frozenset((t.state, coil) for t, spans in zip(turned, treble, strict=True)
                        for coil, span in zip(t.sources, spans, strict=True) if span >= DARK_DB)
    halves: dict[str, float] = {}
    for t in turned:
        full, half = (np.maximum(t.curves[turn][0], SILENT_DB) for turn in (10.0, 5.0))
        for coil, fall in zip(t.sources, full - half, strict=True):
            halves[coil] = max(halves.get(coil, 0.0), float(fall))
    return Reach(max((float(s.max()) for s in bass), default=0.0), max((float(s.max()) for s in treble), default=0.0),
                 darkens, frozenset((t.state, coil) for t in turned for coil in t.sources), halves)


def _spans(levels: Sequence[NDArray[np.float64]]) -> NDArray[np.float64]:
    """The widest difference of each coil; what is not heard at all counts as silent."""
    return np.asarray(np.ptp(np.maximum(np.stack(levels), SILENT_DB), axis=0), dtype=np.float64)


def _way_and_kind(
    found: StateTable, knob: str, gangs: Sequence[tuple[Part, Element]], turned: Sequence[Turned], say: Diagnostics
) -> None:
    """What is wrong with a knob that has a right way round: one thing, since one fault shows as several."""
    if _wrong_way(found, knob, gangs, turned, say) or check_kind(found, knob, gangs, turned, say):
        return
    if check_halfway(found, knob, gangs, turned, say):
        return
    if turned[0].output == found.outputs[0]:
        _law(found, knob, gangs, turned, say)
        _mutes_others(found, knob, gangs[0][0], turned, say)


def _outputs(found: StateTable) -> Iterator[tuple[Output, list[int]]]:
    """Every output, and one state of every network in which it is played."""
    for output in found.outputs:
        yield output, [r.first for r in found.results if found.space.plays(r.first, output)][:MOST]


def _where_heard(found: StateTable, knob: str) -> list[Turned]:
    """A knob at 0, 5 and 10 at the first output at which it does something, else at one where anything is heard."""
    heard: list[Turned] = []
    for at, states in _outputs(found):
        turned = list(turned_in(found, knob, states, None, at))
        if any(t.treble(turn).max() > SILENT_DB for t in turned if t.sources for turn in (0.0, 10.0)):
            if not _idle(turned):
                return turned
            heard = heard or turned
    return heard


def _knobs(build: Build) -> dict[str, list[tuple[Part, Element]]]:
    """Knobs and trimmers with their gangs."""
    found: dict[str, list[tuple[Part, Element]]] = {}
    for part, element in elements_of(build, "track"):
        if element.by:
            found.setdefault(f"{part.name}.{element.by}", []).append((part, element))
    return {knob: found[knob] for knob in knobs_of(build) if knob in found}


def _has_a_way(gangs: Sequence[tuple[Part, Element]]) -> bool:
    """Whether 10 should be louder or brighter than 0: not so for trimmers and for knobs with a detent."""
    control = gangs[0][0].symbol.control(gangs[0][1].by)
    return control is not None and control.kind == "knob" and not control.detent


def _idle(turned: Sequence[Turned]) -> bool:
    """Whether a knob changes nothing that is heard in any state."""
    for t in turned:
        curves = np.stack([t.curves[turn] for turn in (0.0, 5.0, 10.0)])
        if not curves.size:
            continue
        loud = curves.max(axis=0)
        heard = loud > loud.max() - 60.0
        if (np.ptp(curves, axis=0)[heard] >= NOTHING_DB).any():
            return False
    return True


def _say_idle(build: Build, knob: str, gangs: Sequence[tuple[Part, Element]], say: Diagnostics) -> None:
    """A knob that has a lead on its track and does nothing; one that has none is said elsewhere."""
    used = touched(build)
    lugs = [lug_of(part, element, end) for part, element in gangs for end in element.ends]
    if gangs[0][0].meant or not used.intersection(lugs):
        return
    bare = [lug for lug in lugs if lug not in used]
    why = f"No lead ends on {' and '.join(bare)}" if bare else "Its branch leads nowhere"
    say.add(CIR_245, gangs[0][0].place,
            f"turning {knob_word(knob)} changes nothing: under {NOTHING_DB} dB from 0 to 10",
            f"{why}: {_look(used, lugs)}.")


def _look(used: Collection[str], lugs: Sequence[str]) -> str:
    """Where to look for what a knob lacks; with leads on all its lugs it is most often a volume."""
    if set(lugs) <= set(used):
        return "follow each of its lugs, to what feeds it, to the output and to ground"
    return "look for the capacitor, if it is a tone, and for the other end at hot or ground"


def _wrong_way(
    found: StateTable, knob: str, gangs: Sequence[tuple[Part, Element]], turned: Sequence[Turned], say: Diagnostics
) -> bool:
    """A knob that makes it louder or brighter toward 0, in some state, and in none the other way."""
    ways = [(t.state, _way(t)) for t in turned]
    wrong = [state for state, way in ways if way < 0]
    if not wrong or any(way > 0 for _, way in ways):
        return False
    part, element = gangs[0]
    law = law_of(part, element).name
    advice, mended = _turned_round(found, knob, gangs, turned)
    more = f"; its {law} track is then used backwards, too" if mended and law in ("log", "reverse log") else ""
    does = "turns the wrong way:" if mended else "is"
    say.add(CIR_243, part.place,
            f"{knob_word(knob)} {does} louder or brighter at 0 than at 10, "
            f"in {words(found.space.state(wrong[0]), found.space)}{more}",
            advice)
    return True


def _turned_round(
    found: StateTable, knob: str, gangs: Sequence[tuple[Part, Element]], turned: Sequence[Turned]
) -> tuple[str, bool]:
    """What to do about a knob that turns the wrong way, and whether it is to exchange its ends, which was solved."""
    build, states = found.build, [t.state for t in turned]
    heard = {coil for turn in (0.0, 10.0) for coil in sounding(build, {knob: turn}, coils_of(build).order)}
    first = ground_first(build, gangs, heard)
    if first:
        return first, False
    after = turned_round(build, gangs, heard)
    if after is not None and all(
            _way(t) >= 0 for t in turned_in(state_table(after), knob, states, None, turned[0].output)):
        return exchange_words(gangs), True
    return ("Compare what is on its lugs with what was meant: to exchange its two ends alone would not mend it, or do "
            "other harm."), False


def _way(t: Turned) -> int:
    """1 where 10 is louder or brighter for some coil and for none darker, -1 the other way round, 0 else."""
    if not t.sources:
        return 0
    low, high = np.maximum(t.treble(0.0), SILENT_DB), np.maximum(t.treble(10.0), SILENT_DB)
    rise = high - low
    if rise.max() >= CLEAR_DB and rise.min() >= -SLIGHT_DB:
        return 1
    return -1 if rise.min() <= -CLEAR_DB and rise.max() <= SLIGHT_DB else 0


def _law(
    found: StateTable, knob: str, gangs: Sequence[tuple[Part, Element]], turned: Sequence[Turned], say: Diagnostics
) -> None:
    """A volume or tone with a log law that hardly moves on the first half of the way down."""
    part, element = gangs[0]
    law = law_of(part, element).name
    if law not in ("log", "reverse log"):
        return
    used = touched(found.build)
    # A pot with a free lug is a resistor to ground: what it does from 10 to 5 says nothing of its law.
    divider = all(lug_of(p, e, end) in used for p, e in gangs for end in e.ends)
    for t in turned:
        lost = _late(found, t, divider)
        if lost:
            say.add(CIR_244, part.place,
                    f"{knob_word(knob)} has its {law} track backwards: from 10 to 5 it loses {lost}, "
                    "all the rest comes at the end")
            return


def _late(found: StateTable, t: Turned, divider: bool) -> str:
    """What little is lost from 10 to 5, in words, where nearly all is lost from 5 to 0; '' where that is not so."""
    if not t.sources or t.treble(10.0).max() <= SILENT_DB:
        return ""
    if t.treble(0.0).max() > SILENT_DB:
        full, half, none = (float(t.treble(turn).max()) for turn in (10.0, 5.0, 0.0))
        low = abs(_low(t, 10.0) - _low(t, 0.0))
        # One that is brighter in between than at its ends is no tone with a law to judge.
        tone = low < LOW_DB and full - none >= CLEAR_DB and -SLIGHT_DB < full - half < TONE_SHARE * (full - none)
        return f"{full - half:.1f} of {full - none:.0f} dB of treble" if tone else ""
    heard = found.result(t.state).at(t.output).sound.sounding
    if not divider or len({_owner(h.coil, found.build) for h in heard}) != 1:
        return ""
    drop = _low(t, 10.0) - _low(t, 5.0)
    return f"{drop:.1f} dB" if drop < HALF_DB else ""


def _low(t: Turned, turn: float) -> float:
    """Level of the loudest coil at the low end, where no resonance confuses it, in dB."""
    return float(t.curves[turn][0].max())


def _mutes_others(found: StateTable, knob: str, part: Part, turned: Sequence[Turned], say: Diagnostics) -> None:
    """A volume that at 0 silences pickups which it does not silence where they sound alone."""
    owners = {h: _owner(h, found.build) for r in found.results for h in r.coils}
    alone = {owners[h.coil] for t in turned for h in found.result(t.state).at(t.output).sound.sounding
             if t.sources and t.treble(0.0).max() > SILENT_DB}
    for t in turned:
        pickups = {owners[h.coil] for h in found.result(t.state).at(t.output).sound.sounding}
        others = pickups & alone
        if t.sources and len(pickups) > 1 and others and t.treble(0.0).max() <= SILENT_DB < t.treble(10.0).max():
            say.add(CIR_246, part.place,
                    f"{knob_word(knob)} at 0 mutes {' and '.join(sorted(others))} too, "
                    f"in {words(found.space.state(t.state), found.space)}")
            return


def _owner(coil: str, build: Build) -> str:
    return coil if coil in build.parts else coil.rpartition(".")[0]


def _shorts(build: Build, knob: str, gangs: Sequence[tuple[Part, Element]], say: Diagnostics) -> None:
    """A pot with a free outer lug, so no divider, that at one end joins hot straight to ground."""
    used = touched(build)
    for part, element in gangs:
        if all(lug_of(part, element, end) in used for end in ("zero", "ten")):
            continue
        for turn in (0.0, 10.0):
            here, rest = template_of(build, {knob: turn}), template_of(build)
            if any(_joined(here, one) and not _joined(rest, one) for one in here.outputs):
                say.add(CIR_241, part.place, f"{knob_word(knob)} at {turn:.0f} shorts hot to ground")
                return


def _joined(here: NetlistTemplate, output: Output) -> bool:
    classes = classes_of(here, (), ())
    return classes[here.lug(output.lug)] == classes[here.lug(output.sleeve)]


RULE = Rule(130, check, idle=(CIR_253, CIR_254, CIR_255))
