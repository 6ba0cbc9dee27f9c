"""Two-ended parts with both ends on one net whatever the switches do: they do nothing where they sit."""

from __future__ import annotations

from diagramgen.circuit.elements.registry import KINDS
from diagramgen.circuit.nets import connect
from diagramgen.circuit.rules.connections import path_words
from diagramgen.circuit.rules.rule import Rule
from diagramgen.circuit.state_table import StateTable
from diagramgen.circuit.values import elements_of, lug_of, source_name
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics

CIR_119 = Code(
    "CIR-119", Severity.WARNING, "Both ends of a resistor, capacitor, coil, lamp or transducer are joined by leads or "
    "metal, whatever the switches do: it does nothing there",
    text="The way between its ends is named.",
    advice="Move one end to where it belongs.", was="C119")


def check(found: StateTable, say: Diagnostics) -> None:
    """Warn of every resistor, capacitor, coil, lamp or transducer whose ends leads or metal join (CIR-119)."""
    build = found.build
    graph = connect(build)
    two_ended = [kind.name for kind in KINDS.values() if kind.passes is None]
    for part, element in elements_of(build, *two_ended):
        if len(element.ends) != 2:
            continue
        one, other = (lug_of(part, element, end) for end in element.ends)
        path = graph.path(one, other)
        if path is None or all(edge.kind == "link" for edge in path):
            continue
        name = source_name(part, element) if KINDS[element.kind].sounds else part.name
        said = f"both ends of {name} are on one net: it does nothing there"
        say.add(CIR_119, part.place, said, f"The way: {path_words(path, one)}. Move one end to where it belongs.")


RULE = Rule(10, check)
