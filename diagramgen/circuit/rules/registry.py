"""Every rule on solved states, found by looking at the files of this folder, in the order they run."""

from __future__ import annotations

from diagramgen.circuit.rules.rule import Rule
from diagramgen.kernel.discovery import modules_beside


def _found() -> tuple[Rule, ...]:
    rules = [rule for module in modules_beside(__file__) if (rule := getattr(module, "RULE", None)) is not None]
    return tuple(sorted(rules, key=lambda rule: rule.place))


RULES = _found()
