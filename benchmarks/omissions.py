"""How many leads can be left out without a word: every lead of the samples and of the builds beside, one at a time.

Left out is a lead, a bend or the leg of a component. It counts as noticed where a problem is said that is not said
of the whole build: an error, a warning, or a note that names a lug of the lead. Counted with the promises of each
build (``wanted``) and without them. Prints what was not noticed, what is said of the whole builds, and the share.
Nothing is drawn by lot. Run: ``PYTHONPATH=. python benchmarks/omissions.py [BUILD ...]``.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from diagramgen.circuit.proof import prove
from diagramgen.circuit.repair.search import Change, applied
from diagramgen.circuit.rules.connections import check_connections
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, Problem
from diagramgen.kernel.provenance import Sources
from diagramgen.library import catalogue
from diagramgen.model.build import Build, End, Lead
from diagramgen.reader.reader import read_build

HERE = Path(__file__).resolve().parent
GOAL = 1.7
"""Per cent of the leads that may pass unnoticed."""


@dataclass(frozen=True)
class Count:
    """What one build gave."""

    leads: int
    unnoticed: tuple[Lead, ...]
    noted: int
    """Leads of which a note alone speaks."""
    listed: int
    """Those of them of which nothing speaks but the list of free throws (CIR-270)."""
    said: tuple[Problem, ...]
    """Errors and warnings of the whole build."""


def builds(names: Sequence[str]) -> Iterator[tuple[str, Build]]:
    """The builds named, else every good sample and every build beside."""
    beside = sorted((HERE / "cases" / "omissions").glob("*.yaml"))
    files = [Path(n) for n in names] or [*sorted((HERE.parent / "samples").glob("*.yaml")), *beside]
    known = catalogue.shipped()
    for file in files:
        say = Diagnostics()
        known.say = say
        made = read_build(file.read_bytes(), str(file), Sources(file.parent), known, say)
        if made is not None and not say.has_errors:
            yield file.stem, made
        elif file.stem != "wrong-on-purpose":
            raise SystemExit("\n".join(p.text() for p in say.sorted()))


def said(build: Build) -> tuple[Problem, ...]:
    """All that the connections and the solved circuit show."""
    say = Diagnostics()
    check_connections(build, say)
    prove(build, say)
    return say.sorted()


def names(problem: Problem, lead: Lead) -> bool:
    """Whether a problem speaks of a lug of a lead."""
    words = f"{problem.message} {problem.remedy}"
    return any(re.search(rf"(?<![\w.-]){re.escape(str(end))}(?![\w-])", words) for end in (lead.start, lead.end))


def left_out(build: Build) -> Iterator[tuple[Lead, Build]]:
    """Every lead and every leg of a component that hangs by both, and the build without it."""
    for i, lead in enumerate(build.leads):
        yield lead, applied(build, Change("", (*build.leads[:i], *build.leads[i + 1 :])))
    written = {frozenset((str(lead.start), str(lead.end))) for lead in build.leads}
    for part in build.parts.values():
        legs = [replace(build.leads[0], tag=f"{part.name} leg {n}", start=End(part.name, lug, part.place), end=end,
                        kind="leg", shield_to=(), cable="", bus="")
                for n, (lug, end) in enumerate(zip(part.symbol.lug_names(), part.between or (), strict=False), start=1)]
        loose = {**build.parts, part.name: replace(part, between=None)}
        for leg, other in zip(legs, reversed(legs), strict=True):
            if frozenset((str(leg.start), str(leg.end))) not in written:
                yield leg, replace(build, parts=loose, leads=(*build.leads, other))


def counted(build: Build) -> Count:
    """Every lead of a build left out in turn."""
    before = said(build)
    keys = {(p.code, p.message) for p in before}
    unnoticed, noted, listed = [], 0, 0
    every = list(left_out(build))
    for lead, less in every:
        new = [p for p in said(less) if (p.code, p.message) not in keys]
        if all(p.severity is Severity.NOTE for p in new):
            if codes := {p.code for p in new if names(p, lead)}:
                noted += 1
                listed += codes == {"CIR-270"}
            else:
                unnoticed.append(lead)
    loud = tuple(p for p in before if p.severity is not Severity.NOTE)
    return Count(len(every), tuple(unnoticed), noted, listed, loud)


def main(arguments: Sequence[str]) -> int:
    """Print the table; 1 where more pass than the goal or a whole build draws a warning."""
    every = list(builds(arguments))
    share, warned = 0.0, 0
    for title, promised in (("with the promises", True), ("without promises", False)):
        leads = missed = noted = listed = 0
        print(f"{title}:")
        for name, build in every:
            one = counted(build if promised else replace(build, wanted=()))
            leads, missed, noted = leads + one.leads, missed + len(one.unnoticed), noted + one.noted
            listed += one.listed
            for lead in one.unnoticed:
                print(f"  {name}: not noticed: {lead.tag} {lead.start} -> {lead.end}")
            for problem in one.said:
                print(f"  {name}: said of the whole build: {problem.code} {problem.message}")
            warned += len(one.said) if promised else 0
        share = max(share, 100 * missed / leads)
        print(f"  {missed} of {leads} leads of {len(every)} builds not noticed, {100 * missed / leads:.1f} % "
              f"(goal {GOAL:g} %); of {noted} a note alone speaks, "
              f"of {listed} only the list of free throws")
    return int(share > GOAL or warned > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
