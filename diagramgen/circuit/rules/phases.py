"""States in which coils sound out of phase though no promise speaks of their phase."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from diagramgen.circuit.advice import turned_round
from diagramgen.circuit.check_wanted import mismatches, states_of, words
from diagramgen.circuit.outputs import Output
from diagramgen.circuit.rules.rule import Rule
from diagramgen.circuit.sounds import Sound
from diagramgen.circuit.state_table import StateTable
from diagramgen.circuit.values import elements_of, source_name
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.model.build import Wanted
from diagramgen.model.coil_expression import BadNetwork, coils, read_network

CIR_249 = Code(
    "CIR-249", Severity.WARNING, "Coils sound out of phase in the states named, and no promise speaks of their phase "
    "there: thin and weak, the usual mark of one pair of leads exchanged",
    text="If it is meant, write it under `wanted` with `phase: out`. Where signs were not metered and only usual ones "
         "between the coils of one pickup are used, it says so. To exchange the two leads of a pickup is advised only "
         "where the build, solved with them exchanged, is in phase in these states, loses no coil and has no other "
         "state out of phase.", was="C249")


def check(found: StateTable, say: Diagnostics) -> None:
    """Warn of every set of coils that is out of phase in states where nobody asked for a phase (CIR-249)."""
    for output in found.outputs:
        states: dict[tuple[str, ...], list[int]] = {}
        for index, sound in _unasked(found, output):
            main = tuple(dict.fromkeys(h.called for h in sound.sounding if not h.weak))
            states.setdefault(main, []).append(index)
        for main, members in states.items():
            _say(found, output, main, members, say)


def _unasked(found: StateTable, output: Output) -> list[tuple[int, Sound]]:
    """States in which an output is out of phase and no promise speaks of its phase."""
    out = [(index, one.sound) for index, one in found.played(output) if one.sound.phase == "out"]
    names = ("", output.lug) if output == found.outputs[0] else (output.lug,)
    spoken = {index for wanted in found.build.wanted if out and wanted.at in names and _speaks(wanted)
              for index in states_of(found.space, wanted)}
    return [(index, sound) for index, sound in out if index not in spoken]


def _speaks(wanted: Wanted) -> bool:
    """Whether a promise says something of phase: in so many words, or by a minus in its network."""
    if wanted.phase or not wanted.sounds:
        return bool(wanted.phase)
    try:
        network = read_network(wanted.sounds)
    except BadNetwork:
        return False
    return network is None or any(c.reversed for c in coils(network))


def _say(found: StateTable, output: Output, main: tuple[str, ...], members: list[int], say: Diagnostics) -> None:
    part = found.build.parts[main[0].partition(".")[0]]
    more = f" and {len(members) - 1} more state{'s' if len(members) > 2 else ''}" if len(members) > 1 else ""
    usual = found.result(members[0]).at(output).sound.assumed
    where = (f"at {output.says} " if found.several else "") + f"in {words(found.space.state(members[0]), found.space)}"
    say.add(CIR_249, part.place,
            f"{' and '.join(_names(found, main))} sound out of phase {where}{more}"
            + (" (with signs as usual for such pickups, not metered)" if usual else ""),
            f"If it is meant, add it to 'wanted' with phase: out{_cure(found, main, members)}.")


def _names(found: StateTable, main: Sequence[str]) -> tuple[str, ...]:
    """Pickups where several sound with all their coils; coils where not."""
    owners = tuple(dict.fromkeys(coil.partition(".")[0] for coil in main))
    own = Counter(source_name(p, e).partition(".")[0] for p, e in elements_of(found.build, "coil"))
    whole = all(own[name] == sum(coil.partition(".")[0] == name for coil in main) for name in owners)
    return owners if whole and len(owners) > 1 else tuple(main)


def _cure(found: StateTable, main: Sequence[str], members: Sequence[int]) -> str:
    """The pickups whose two leads exchanged bring these states in phase and break nothing else, as solved."""
    owners = tuple(dict.fromkeys(coil.partition(".")[0] for coil in main))
    if len(owners) < 2:
        return ""
    before = {(output, index) for output in found.outputs for index, _ in _unasked(found, output)}
    tried: list[str] = []
    cures: list[str] = []
    for name in owners:
        other = turned_round(found, name)
        if other is None or other.count != found.count:
            continue
        tried.append(name)
        after = {(output, index) for output in other.outputs for index, _ in _unasked(other, output)}
        kept = all(found.result(i).coils <= other.result(i).coils for i in range(found.count))
        kept = kept and len(list(mismatches(other))) <= len(list(mismatches(found)))
        if kept and after < before and not any(index in members for _, index in after):
            cures.append(name)
    if cures:
        return f"; else exchange the two leads of {' or '.join(cures)}"
    return f"; exchanging the two leads of {' or '.join(tried)} does not put every state right" if tried else ""


RULE = Rule(80, check)
