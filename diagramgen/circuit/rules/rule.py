"""What a rule on the solved states of a build is.

A new rule is one file of this folder that holds one ``RULE`` and its own problem codes; both are found there. Files
without a ``RULE`` hold what rules share. What leads alone show, without any state, is judged in ``connections``;
promises in ``circuit.check_wanted``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from diagramgen.circuit.state_table import StateTable
from diagramgen.kernel.codes import Code
from diagramgen.kernel.diagnostics import Diagnostics


@dataclass(frozen=True)
class Rule:
    """One judgement on the solved states of a build with its knobs at rest."""

    place: int
    """Rules run in the order of these numbers: a rule may see what those before it said."""
    check: Callable[[StateTable, Diagnostics], None]
    """Say what is wrong. Nothing is said twice: what an earlier rule said is in the collector."""
    idle: tuple[Code, ...] = ()
    """Those of its codes that say of a part that it does not do what it is for: a lead may be missing there."""
