"""Every rule on solved states, found by looking at the files of this folder, in the order they run."""

from __future__ import annotations

import importlib
import pkgutil
from pathlib import Path

from diagramgen.circuit.rules.rule import Rule


def _found() -> tuple[Rule, ...]:
    here = __name__.rpartition(".")[0]
    names = sorted(info.name for info in pkgutil.iter_modules([str(Path(__file__).parent)]))
    modules = [importlib.import_module(f"{here}.{name}") for name in names if name != "registry"]
    rules = [rule for module in modules if (rule := getattr(module, "RULE", None)) is not None]
    return tuple(sorted(rules, key=lambda rule: rule.place))


RULES = _found()
