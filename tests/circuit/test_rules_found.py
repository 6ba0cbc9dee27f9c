"""A rule is one file of circuit/rules; what circuit and diagnosis import never leads back to itself."""

from __future__ import annotations

import ast
from pathlib import Path

from diagramgen.circuit.rules.registry import RULES

PACKAGE = Path(__file__).resolve().parents[2] / "diagramgen"
OWN = ("diagramgen.circuit.", "diagramgen.diagnosis.", "diagramgen.features.netlist.")


def test_every_file_with_a_rule_is_found_and_no_two_rules_share_a_place() -> None:
    told = [p for p in (PACKAGE / "circuit" / "rules").glob("*.py") if "\nRULE = " in p.read_text(encoding="utf-8")]
    assert len(RULES) == len(told) >= 13
    assert len({rule.place for rule in RULES}) == len(RULES)
    assert [rule.place for rule in RULES] == sorted(rule.place for rule in RULES)


def imports() -> dict[str, set[str]]:
    """Module of circuit, diagnosis or netlist -> those of them that it imports, inside functions as well."""
    files = {".".join(p.relative_to(PACKAGE.parent).with_suffix("").parts): p for p in PACKAGE.rglob("*.py")}
    files = {name: p for name, p in files.items() if name.startswith(OWN)}
    found: dict[str, set[str]] = {}
    for name, path in files.items():
        nodes = [n for n in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(n, ast.ImportFrom)]
        named = {x for n in nodes for x in (n.module, *(f"{n.module}.{a.name}" for a in n.names))}
        found[name] = {str(x) for x in named if x in files}
    return found


def test_no_import_leads_back_to_where_it_began() -> None:
    left = imports()
    assert len(left) > 60
    # What imports nothing that is left is taken off, again and again: what stays is in a circle or leads to one.
    while done := [name for name, others in left.items() if not others & set(left)]:
        for name in done:
            del left[name]
    assert left == {}
