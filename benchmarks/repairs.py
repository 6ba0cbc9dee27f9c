"""What is proposed for wirings with one fault: leads left out, moved, exchanged.

``PYTHONPATH=. python benchmarks/repairs.py [SEED ...]``: every instrument of ``repair_builds.py`` is broken six times
(three leads left out, two ends moved to another lug of their part, the two ends of a coil exchanged), a random
generator started with the seed choosing which. What the proof then proposes is made, solved and held against the
instrument as it was. One line a break with ``--all``; else only those that were not restored.

restored         the same lugs on the same nets
another circuit  every promise kept, but other nets
knob lost        another circuit in which a knob takes 6 dB less than it did
several          said that several changes would do alike, none of them picked
nothing          searched and nothing found
unnoticed        no promise broken and nothing missed by the proof: not searched
"""

from __future__ import annotations

import argparse
import random
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from repair_builds import BUILDS

from diagramgen.circuit.nets import connect
from diagramgen.circuit.proof import complaints, remedy
from diagramgen.circuit.repair.search import applied
from diagramgen.circuit.rules.knobs import takes
from diagramgen.circuit.state_table import state_table
from diagramgen.circuit.values import elements_of
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.library import catalogue
from diagramgen.model.build import Build, End, Lead
from diagramgen.reader.reader import read_build

LOST_DB = 6.0
LEFT_OUT = 3
ORDER = ("restored", "another circuit", "knob lost", "several", "nothing", "unnoticed")


def read(text: str) -> Build:
    """A build of this file's neighbour."""
    say = Diagnostics({})
    known = catalogue.shipped()
    known.say = say
    made = read_build(text.encode(), "bench.yaml", Sources(Path()), known, say)
    if made is None or say.has_errors:
        raise SystemExit("\n".join(p.text() for p in say.sorted()))
    return made


def breaks(build: Build, dice: random.Random) -> Iterator[tuple[str, Build]]:
    """Three leads left out, two ends moved, one coil the wrong way round."""
    order = list(range(len(build.leads)))
    dice.shuffle(order)
    for i in order[:LEFT_OUT]:
        yield f"left out: {_words(build.leads[i])}", _with(build, build.leads[:i] + build.leads[i + 1 :])
    moved = 0
    for i in order[LEFT_OUT:] + order[:LEFT_OUT]:
        lead = build.leads[i]
        end = lead.end
        others = [lug for lug in build.parts[end.part].symbol.lug_names() if lug != end.lug]
        if lead.kind == "bend" or not others or moved == 2:
            continue
        to = End(end.part, dice.choice(others), end.place)
        if str(to) == str(lead.start):
            continue
        moved += 1
        leads = [*build.leads]
        leads[i] = replace(lead, end=to)
        yield f"moved: {_words(lead)}, to {to}", _with(build, tuple(leads))
    part, element = dice.choice(list(elements_of(build, "coil")))
    a, b = (element.ends[e] for e in ("start", "finish"))
    yield f"exchanged: {part.name}.{a}, {part.name}.{b}", _with(build, tuple(_swapped(x, part.name, a, b)
                                                                             for x in build.leads))


def _with(build: Build, leads: tuple[Lead, ...]) -> Build:
    return replace(build, leads=leads)


def _swapped(lead: Lead, part: str, a: str, b: str) -> Lead:
    def other(end: End) -> End:
        return replace(end, lug={a: b, b: a}.get(end.lug, end.lug)) if end.part == part else end

    return replace(lead, start=other(lead.start), end=other(lead.end))


def _words(lead: Lead) -> str:
    return f"{lead.start} -> {lead.end}"


def nets(build: Build) -> set[frozenset[str]]:
    """Lugs that are joined, without braids and metal."""
    lugs = {f"{p.name}.{lug}" for p in build.parts.values() for lug in p.symbol.lug_names()}
    found = {frozenset(lugs.intersection(net)) for net in connect(build).nets()}
    return {net for net in found if len(net) > 1}


def judged(sound: Build, broken: Build) -> tuple[str, str, bool]:
    """What became of a break, the sentence, and whether something new is warned of."""
    found = remedy(broken)
    if found is None:
        return "unnoticed", "", False
    if found.change is None:
        return ("several" if found.rivals else "nothing"), found.text, False
    mended = applied(broken, found.change)
    new = warned(mended) - warned(broken)
    if nets(mended) == nets(sound):
        return "restored", found.text, bool(new)
    before, after = takes(state_table(sound)), takes(state_table(mended))
    lost = any(max(before[k].bass - after[k].bass, before[k].treble - after[k].treble) > LOST_DB for k in before)
    return ("knob lost" if lost else "another circuit"), found.text, bool(new)


def warned(build: Build) -> Counter[tuple[str, str]]:
    """Warnings and errors of a build as code and place."""
    return Counter((p.code, str(p.place)) for p in complaints(build) if p.severity is not Severity.NOTE)


def run(seed: int, every: bool) -> None:
    """All breaks of one seed."""
    dice = random.Random(seed)
    kinds: dict[str, Counter[str]] = {"left out": Counter(), "moved or exchanged": Counter()}
    new = 0
    times = []
    for name, text in BUILDS.items():
        sound = read(text)
        for what, broken in breaks(sound, dice):
            began = time.process_time()
            verdict, sentence, warns = judged(sound, broken)
            times.append(time.process_time() - began)
            kinds["left out" if what.startswith("left out") else "moved or exchanged"][verdict] += 1
            new += warns
            if every or verdict != "restored" or warns:
                print(f"  {name} | {what} | {verdict}{' | WARNS ANEW' if warns else ''} | {sentence}")
    for kind, counts in kinds.items():
        print(f"seed {seed}, {sum(counts.values())} {kind}: "
              + ", ".join(f"{counts[word]} {word}" for word in ORDER))
    times.sort()
    print(f"seed {seed}: {new} proposals warn anew; CPU s a break: median {times[len(times) // 2]:.2f}, "
          f"worst {times[-1]:.2f}")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("seeds", nargs="*", type=int, default=[1])
    parser.add_argument("--all", action="store_true", help="a line for every break")
    asked = parser.parse_args()
    for one in asked.seeds:
        run(one, asked.all)
