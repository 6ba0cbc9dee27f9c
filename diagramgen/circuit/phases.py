"""States in which coils sound out of phase though no promise speaks of their phase."""

from __future__ import annotations

from diagramgen.build.model import Wanted
from diagramgen.build.network import BadNetwork, coils, read_network
from diagramgen.circuit.chart import Chart
from diagramgen.circuit.outputs import Output
from diagramgen.circuit.wanted import states_of, words
from diagramgen.problems import Collector


def check_phases(found: Chart, say: Collector) -> None:
    """Warn of every set of coils that is out of phase in states where nobody asked for a phase (C249)."""
    for output in found.outputs:
        out = [(index, one.sound) for index, one in found.played(output) if one.sound.phase == "out"]
        if not out:
            continue
        names = ("", output.lug) if output == found.outputs[0] else (output.lug,)
        spoken = {index for wanted in found.build.wanted if wanted.at in names and _speaks(wanted)
                  for index in states_of(found.space, wanted)}
        states: dict[tuple[str, ...], list[int]] = {}
        for index, sound in out:
            if index not in spoken:
                main = tuple(dict.fromkeys(h.called for h in sound.sounding if not h.weak))
                states.setdefault(main, []).append(index)
        for main, members in states.items():
            _say(found, output, main, members, say)


def _speaks(wanted: Wanted) -> bool:
    """Whether a promise says something of phase: in so many words, or by a minus in its network."""
    if wanted.phase or not wanted.sounds:
        return bool(wanted.phase)
    try:
        network = read_network(wanted.sounds)
    except BadNetwork:
        return False
    return network is None or any(c.reversed for c in coils(network))


def _say(found: Chart, output: Output, main: tuple[str, ...], members: list[int], say: Collector) -> None:
    part = found.build.parts[main[0].partition(".")[0]]
    more = f" and {len(members) - 1} more state{'s' if len(members) > 2 else ''}" if len(members) > 1 else ""
    usual = found.result(members[0]).at(output).sound.assumed
    where = (f"at {output.says} " if found.several else "") + f"in {words(found.space.state(members[0]), found.space)}"
    say.warning("C249", part.place,
                f"{' and '.join(main)} sound out of phase {where}{more}"
                + (" (with signs as usual for such pickups, not metered)" if usual else ""),
                "If it is meant, add it to 'wanted' with phase: out; else exchange the two leads of one of them.")
