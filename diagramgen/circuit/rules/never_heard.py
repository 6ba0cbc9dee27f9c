"""Coils and transducers that are heard in no state."""

from __future__ import annotations

from collections.abc import Iterator

from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.rules.rule import Rule
from diagramgen.circuit.state_table import StateTable, sounding
from diagramgen.circuit.values import SOUNDING, elements_of, knobs_of, source_name
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics

CIR_212 = Code(
    "CIR-212", Severity.WARNING, "A coil or transducer is never heard, in any state at any output, with any knob at "
    "0, 5 or 10",
    advice="Follow both its leads: one to ground, one to the tip, each through contacts that close.", was="C212")

FEW = 2000
"""States above which knobs are not studied one by one."""


def check(found: StateTable, say: Diagnostics) -> None:
    """Coils that sound in no state with any knob at 0, 5 or 10."""
    build = found.build
    if is_mute(found) and any(p.code == "CIR-211" for p in say):
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
        say.add(CIR_212, part.place, f"{name} is never heard{where}")


def _heard(found: StateTable) -> Iterator[str]:
    for result in found.results:
        yield from result.coils


def is_mute(found: StateTable) -> bool:
    """Whether nothing is heard in any state with a mono plug in."""
    return all(r.silent for r in found.results if r.plug == "mono")


RULE = Rule(30, check)
