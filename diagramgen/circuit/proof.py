"""The proof of a build: its state table, and what the solved states show to be wrong."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from diagramgen.circuit.check_wanted import check_wanted, mismatches
from diagramgen.circuit.codes import CIR_200, CIR_201, CIR_202, CIR_203, CIR_204, CIR_205, CIR_206, CIR_306
from diagramgen.circuit.dc_readings import MeterConditions
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.polarity import contradictions
from diagramgen.circuit.repair.search import Repair, bare_pair, lead_lacking, smallest_change
from diagramgen.circuit.rules.connections import check_connections
from diagramgen.circuit.rules.registry import RULES
from diagramgen.circuit.state_table import StateTable, state_table
from diagramgen.circuit.states import TooMany
from diagramgen.circuit.values import SOUNDING, elements_of, faults
from diagramgen.kernel.diagnostics import Diagnostics, Location, Problem
from diagramgen.model.build import Build

BROKEN = frozenset({"CIR-260", "CIR-301", "CIR-302", "CIR-303", "CIR-304", "CIR-305"})
"""What is said of promises, those that cannot be proved among them."""
IDLE = frozenset(code.id for rule in RULES for code in rule.idle)
"""Codes of what a part does not do that it is for."""


def prove(
    build: Build,
    say: Diagnostics,
    knobs: Mapping[str, float] | None = None,
    select: Mapping[str, str | Sequence[str]] | None = None,
    meter: MeterConditions | None = None,
    mend: bool = False,
) -> StateTable | None:
    """Solve every state and say what is wrong; None where nothing could be solved.

    ``mend``: search for the smallest change of leads where a wanted sound is not given, or where every one is given
    and a lead seems to be missing.
    """
    if not _solvable(build, say):
        return None
    try:
        found = state_table(build, knobs, select, meter)
    except TooMany as fault:
        say.add(CIR_205, Location(build.file), str(fault))
        return None
    except ValueError as fault:
        say.add(CIR_200, Location(build.file), f"the circuit cannot be solved: {fault}")
        return None
    if not knobs:
        mended = _mended(found) if mend else None
        check_wanted(found, say, mended.text if mended else "")
    if not knobs and not select:
        for rule in RULES:
            rule.check(found, say)
        if mend and mended is None:
            _say_lacking(build, say)
    return found


def _mended(found: StateTable) -> Repair | None:
    """The smallest change of leads for a build that breaks a promise; None where it has too many states to be told."""
    if not any(m.kind != "unknown" for m in mismatches(found)):
        return None
    try:
        return smallest_change(found.build, complaints=complaints)
    except TooMany:
        return None


def _lead_lacking(build: Build, said: Iterable[Problem]) -> Repair | None:
    """The lead that a build lacks which keeps its promises; None where it makes none, or lacks none."""
    places = {p.place for p in said if p.code in IDLE}
    return lead_lacking(build, complaints, places) if build.wanted else bare_pair(build, complaints)


def _say_lacking(build: Build, say: Diagnostics) -> None:
    found = _lead_lacking(build, say)
    if found is not None and found.guess:
        first = found.change or found.rivals[0]
        changed = next(lead for lead in reversed(first.leads) if lead not in build.leads)
        stays = f"{found.kept.capitalize()} stays true with it" if build.wanted else \
            "No wanted sound says what was meant; both ends are bare, and with it no such end is left"
        say.add(CIR_306, build.parts[changed.start.part].place, found.guess,
                f"Look at the instrument first. {stays}, and nothing new is said.")


def remedy(build: Build) -> Repair | None:
    """What is proposed for a build: None where no promise is broken and no lead seems to be missing."""
    try:
        return _mended(state_table(build)) or _lead_lacking(build, complaints(build))
    except ValueError:
        return None


def complaints(build: Build) -> tuple[Problem, ...]:
    """All that is said of a build's wiring but broken promises: a proposal may not add to it."""
    say = Diagnostics()
    check_connections(build, say)
    prove(build, say)
    return tuple(p for p in say.sorted() if p.code not in BROKEN)


def _solvable(build: Build, say: Diagnostics) -> bool:
    bad = False
    for part, sentence in faults(build):
        say.add(CIR_201, part.place, sentence)
        bad = True
    for part, sentence in contradictions(build):
        say.add(CIR_202, part.place, sentence)
    found = jacks(build)
    if not found:
        say.add(CIR_203, Location(build.file), "the build has no output jack: nothing can be heard or metered")
        return False
    if len(found) > 1:
        say.add(CIR_204, found[1].place, f"there are {len(found)} jacks; {found[0].name} is the main output, meant "
                "wherever none is named", f"Write the main output first; a wanted sound of another says at: "
                f"{found[1].name}.")
    if not any(True for _ in elements_of(build, *SOUNDING)):
        say.add(CIR_206, Location(build.file), "no part of the build makes a signal")
    return not bad
