"""Jacks whose sleeves are not joined, where metal that is touched is grounded by one of their plugs alone."""

from __future__ import annotations

from diagramgen.circuit.grounding import Grounded, apart, grounded
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.rules.rule import Rule
from diagramgen.circuit.state_table import StateTable
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics

CIR_233 = Code(
    "CIR-233", Severity.WARNING, "The sleeves of two jacks are not joined, and metal that a hand touches goes to one "
    "of them alone",
    text="With only the other plug in, that metal is not grounded.",
    advice="If the grounds are apart on purpose, keep both plugs in; else join the two sleeves.", was="C233")


def check(found: StateTable, say: Diagnostics) -> None:
    """Warn of jacks whose sleeves are not joined, where metal that is touched goes to one of them alone (CIR-233)."""
    build = found.build
    if len(jacks(build)) < 2:
        return
    loose: dict[str, list[Grounded]] = {}
    for one in filter(apart, grounded(build)):
        for jack in one.without:
            loose.setdefault(jack, []).append(one)
    for jack, pieces in loose.items():
        what = ", ".join(f"the {one.metal.name} of {one.part.name}" for one in pieces)
        others = " and ".join(dict.fromkeys(name for one in pieces for name in one.sure))
        say.add(CIR_233, build.parts[jack].place,
                f"with only the plug of {jack} in, {what} {'is' if len(pieces) == 1 else 'are'} not grounded: the "
                f"sleeve of {jack} is not joined to that of {others}")


RULE = Rule(90, check)
