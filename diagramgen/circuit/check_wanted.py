"""Holds what a build promises of its positions (``wanted``) against what its wiring gives."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagramgen.circuit.codes import CIR_260, CIR_301, CIR_302, CIR_303, CIR_304, CIR_305
from diagramgen.circuit.hum import keeps
from diagramgen.circuit.hum_words import hum_said
from diagramgen.circuit.outputs import named
from diagramgen.circuit.sounds import SILENCE, Sound
from diagramgen.circuit.state_table import StateResult, StateTable
from diagramgen.circuit.state_table import state_table as solved
from diagramgen.circuit.states import StateSpace, Switch, state_space
from diagramgen.circuit.values import SOUNDING, elements_of
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.model.build import Build, Wanted
from diagramgen.model.coil_expression import BadNetwork, Coil, Network, coils, read_network

Shape = tuple[object, ...]
"""Nested tuples that are equal for networks equal up to order and association."""


@dataclass(frozen=True)
class Mismatch:
    """One promise a state does not keep. ``kind``: network | phase | hum | unknown."""

    wanted: Wanted
    state: Mapping[str, str]
    kind: str
    asked: str
    given: str

    @property
    def of_turns(self) -> bool:
        """Whether it is unknown only because the turns of the coils are."""
        return self.kind == "unknown" and self.asked.startswith("hum ") and not self.given.endswith(" unknown")


def mismatches(chart: StateTable) -> Iterator[Mismatch]:
    """Every promise that some state does not keep, in the order of file and states."""
    names = coil_parts(chart.build)
    for wanted in chart.build.wanted:
        for state, result in matching(chart, wanted):
            yield from judged(wanted, state, sound_of(wanted, result), names)


def sound_of(wanted: Wanted, result: StateResult) -> Sound:
    """What a state gives at the output a promise speaks of."""
    if not wanted.at:
        return result.sound
    return next((one.sound for one in result.heard if one.output.lug == wanted.at), SILENCE)


def matching(chart: StateTable, wanted: Wanted) -> Iterator[tuple[Mapping[str, str], StateResult]]:
    """The states a promise speaks of: a control it does not name may stand anywhere.

    The plug is a mono plug (a stereo plug where it speaks of the ring) and a momentary button is at rest unless it
    says otherwise.
    """
    known = {key for switch in chart.space.switches for key in switch.names(0)}
    plugs = {key: word for key, word in wanted.when.items() if key not in known and word != "mono"}
    if plugs:
        # A jack whose plug makes no contact is no control of the chart; this promise speaks of it all the same.
        chart = solved(chart.build, chart.knobs, plugs)
    for index in states_of(chart.space, wanted):
        yield chart.space.state(index), chart.result(index)


def states_of(states: StateSpace, wanted: Wanted) -> Iterator[int]:
    """Numbers of the states a promise speaks of."""
    for index in range(states.count):
        numbers = states.numbers(index)
        if all(_fits(wanted, switch, at)
               for switch, at in zip(states.switches, numbers, strict=True)):
            yield index


def _fits(wanted: Wanted, switch: Switch, at: int) -> bool:
    asked = [(word, wanted.when[key]) for key, word in switch.names(at).items() if key in wanted.when]
    if asked:
        return all(word == want for word, want in asked)
    if switch.kind == "plug":
        jack, _, lug = wanted.at.partition(".")
        return ("stereo" if lug == "ring" and switch.jack == jack else "mono") in switch.positions[at]
    return switch.kind == "switch" or at == 0


def judged(wanted: Wanted, state: Mapping[str, str], sound: Sound, names: Mapping[str, str]) -> Iterator[Mismatch]:
    """What one state does not keep of a promise; ``names`` as ``coil_parts`` gives them."""
    if wanted.sounds:
        fits = same_network(wanted.sounds, sound, names, signed=not wanted.phase)
        if fits is not True:
            yield Mismatch(wanted, state, "network" if fits is False else "unknown", wanted.sounds, sound.network)
    if wanted.phase and wanted.phase != sound.phase:
        which = "unknown" if sound.phase == "unknown" else "phase"
        yield Mismatch(wanted, state, which, f"phase {wanted.phase}", f"phase {sound.phase}")
    kept = keeps(wanted.hum, sound.hum, sound.hum_least, sound.hum_percent) if wanted.hum else True
    if kept is not True:
        given = f"hum {sound.hum}" if sound.hum in ("silent", "unknown") else hum_said(sound)
        yield Mismatch(wanted, state, "unknown" if kept is None else "hum", f"hum {wanted.hum}", given)


def same_network(text: str, sound: Sound, names: Mapping[str, str], signed: bool) -> bool | None:
    """Whether a network of coils is the one a state gives, up to order, association and overall sign.

    ``signed``: a minus in one must stand in the other too. None where the connection fits but the signs are not
    known, so that nobody can tell.
    """
    try:
        asked, given = read_network(text), read_network(sound.network)
    except BadNetwork:
        return False
    if asked is None or given is None:
        return asked is given
    a, b = (shape(n, names, True) for n in (asked, given))
    if shape(asked, names, False) != shape(given, names, False):
        return False
    if not signed and not any(c.reversed for c in coils(asked)):
        return True
    if len(sound.sounding) > 1 and (sound.phase == "unknown" or any(h.sign is None for h in sound.sounding)):
        return None
    return b in (a, shape(asked, names, True, turn=-1))


def shape(network: Network | None, names: Mapping[str, str], signed: bool, turn: int = 1) -> Shape | None:
    """The shape of a network; parts that are no coils are left out."""
    if network is None:
        return None
    sign = -turn if network.reversed else turn
    if isinstance(network, Coil):
        name = names.get(f"{network.part}.{network.coil}" if network.coil else network.part)
        return None if name is None else ("coil", name, sign if signed else 0)
    terms: list[Shape] = []
    for term in network.terms:
        found = shape(term, names, signed, sign)
        if found is not None:
            terms += found[1:] if found[0] == network.how else (found,)  # type: ignore[arg-type]
    if network.how == "series":
        terms = _joined_sections(terms, names)
    if len(terms) < 2:
        return terms[0] if terms else None
    return (network.how, *sorted(terms, key=repr))


def _joined_sections(terms: list[Shape], names: Mapping[str, str]) -> list[Shape]:
    """The terms of a series with all the sections of a tapped winding, said one by one, as the whole."""
    for whole in {str(t[1]).partition(".")[0] for t in terms if t[0] == "coil"}:
        sections = sections_of(whole, names)
        own = [t for t in terms if t[0] == "coil" and t[1] in sections]
        if len(sections) > 1 and {t[1] for t in own} == sections and len({t[2] for t in own}) == 1:
            terms = [("coil", whole, own[0][2]), *(t for t in terms if t not in own)]
    return terms


def coil_parts(build: Build) -> dict[str, str]:
    """Every way to name a coil -> one name."""
    found: dict[str, str] = {}
    for part, element in elements_of(build, *SOUNDING):
        own = [e for e in part.symbol.elements if e.kind in SOUNDING]
        full = f"{part.name}.{element.name}"
        found[full] = full
        if len(own) == 1:
            found[part.name] = full
        elif part.symbol.sections():
            found[part.name] = part.name
    return found


def sections_of(whole: str, names: Mapping[str, str]) -> set[str]:
    """The sections of a tapped winding named by its part; the name itself where it is a coil; ``names`` as
    ``coil_parts`` gives them."""
    tapped = names.get(whole) == whole and "." not in whole
    return {name for name in names if name.startswith(f"{whole}.")} if tapped else {whole}


def check_wanted(chart: StateTable, say: Diagnostics, remedy: str = "") -> None:
    """Say every promise that is not kept; ``remedy``: what would mend them all."""
    build = chart.build
    full = state_space(build, all_plugs=True)
    if _all_silent(chart, say, remedy):
        return
    for wanted in build.wanted:
        if not any(True for _ in states_of(full, wanted)):
            say.add(CIR_305, wanted.place, "no state is like this")
            continue
        _say(chart, wanted, say, remedy)


def _all_silent(chart: StateTable, say: Diagnostics, remedy: str) -> bool:
    """Where no state gives a sound every promise of one is broken for one reason: said once, for all of them."""
    if not all(result.silent for result in chart.results):
        return False
    broken = [w for w in chart.build.wanted if w.sounds != "silent"]
    if len(broken) < 2 or len(broken) < len(chart.build.wanted):
        return False
    lines = ", ".join(str(w.place.line) for w in broken)
    say.add(CIR_301, broken[0].place, f"none of the {len(broken)} wanted sounds (lines {lines}) is given: "
            "every state is silent",
            remedy or "Mend first what keeps the signal from the tip; these follow from it.")
    return True


def _say(chart: StateTable, wanted: Wanted, say: Diagnostics, remedy: str) -> None:
    """One problem for each kind of mismatch, with the first state that shows it."""
    names = coil_parts(chart.build)
    first: dict[tuple[str, str, str], Mismatch] = {}
    count: dict[tuple[str, str, str], int] = {}
    for state, result in matching(chart, wanted):
        for found in judged(wanted, state, sound_of(wanted, result), names):
            key = (found.kind, found.asked, found.given)
            first.setdefault(key, found)
            count[key] = count.get(key, 0) + 1
    broken = {words(f.state, chart.space) for f in first.values() if f.kind == "network"}
    for key, found in first.items():
        if found.given.endswith(" silent") and words(found.state, chart.space) in broken:
            continue  # what is silent neither hums nor cancels
        where = words(found.state, chart.space)
        more = f" (and {count[key] - 1} more state{'s' if count[key] > 2 else ''})" if count[key] > 1 else ""
        output = named(chart.build, wanted.at) if wanted.at else None
        asked = f"{found.asked} at {output.says}" if output is not None else found.asked
        text = f"{where}{more}: wanted {asked}, the wiring gives {found.given}"
        if found.of_turns:
            say.add(CIR_260, wanted.place, f"{where}{more}: wanted {asked}, which cannot be proved: {found.given}",
                    "Give turns, gauge of the winding wire (wire) or metered inductance of each coil"
                    + LESS.get(found.asked, "") + ".")
        elif found.kind == "unknown":
            say.add(CIR_304, wanted.place, f"{where}{more}: {asked} cannot be proved: {_unknown(found.given)}")
        else:
            code = {"network": CIR_301, "phase": CIR_302, "hum": CIR_303}[found.kind]
            say.add(code, wanted.place, text, remedy or "Compare the leads of these parts with what was meant.")


def _unknown(given: str) -> str:
    return "the signs of its coils are not known" if not given.endswith("unknown") else f"{given}"


LESS = {"hum cancels": "; or want less: hum most or partly", "hum most": "; or want less: hum partly"}
"""What may be wanted of the hum in place of what cannot be proved."""
ONLY, PLUGGED, EACH_PLUGGED = "the only position", "mono plug in", "a mono plug in each jack"
"""What ``words`` says of a build without switches, and of one in which only plugs switch something."""


SHAFT = {("down",), ("up",)}
"""Positions of a switch on a knob's shaft."""


def words(state: Mapping[str, str], states: StateSpace) -> str:
    """A state in words, as a player says it (a shaft is pushed or pulled, not down or up: that is the knob); the plug
    only where it is not a mono plug."""
    plugs = {k for d in states.switches if d.kind == "plug" for k in d.keys}
    spoken = {(d.keys[0], p[0]): w for d in states.switches if set(d.positions) == SHAFT
              for p, w in zip(d.positions, d.words, strict=True)}
    if len(plugs) > 1:  # ``piezo out`` alone could be a jack's name
        spoken |= {(k, p[i]): w for d in states.switches if d.kind == "plug"
                   for p, w in zip(d.positions, d.words, strict=True) for i, k in enumerate(d.keys)}
    said = [f"{k} {spoken.get((k, v), v)}" for k, v in state.items() if k not in plugs or v != "mono"]
    here = plugs.intersection(state)
    return ", ".join(said) or (EACH_PLUGGED if len(here) > 1 else PLUGGED if here else ONLY)


MOST_SHOWN = 6
"""States shown where none are asked for, at most."""


def chosen_states(chart: StateTable, asked: Sequence[Mapping[str, str]]) -> tuple[int, ...]:
    """Numbers of the states to show: those asked for (the first like each); else those that ``wanted`` names, the
    first of each promise; else the first of each network. The last two are at most ``MOST_SHOWN``.

    A control that is named in no way stands as in the first state.
    """
    found: dict[int, None] = {}
    for one in asked:
        fits = (i for i in range(chart.count) if one.items() <= chart.space.state(i).items())
        found.update((i, None) for i in list(fits)[:1])
    if not asked:
        firsts = (next(states_of(chart.space, promise), None) for promise in chart.build.wanted)
        found.update(dict.fromkeys(i for i in firsts if i is not None))
        found = found or dict.fromkeys(r.first for r in chart.results for output in chart.outputs
                                       if output.own(dict(chart.space.plugs(r.first))))
        for output in chart.outputs:  # each in some state, where what the file names shows only others
            if not any(chart.space.plays(i, output) for i in found):
                found.update((i, None) for i, _ in itertools.islice(chart.played(output), 1))
        found = dict.fromkeys(list(found)[:MOST_SHOWN])
    return tuple(found)
