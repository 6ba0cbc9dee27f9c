"""Knobs with a centre detent that are silent at both ends, or whose gangs have no blend law."""

from __future__ import annotations

from diagramgen.circuit.rules.never_heard import is_mute
from diagramgen.circuit.rules.rule import Rule
from diagramgen.circuit.state_table import StateTable, state_table
from diagramgen.circuit.values import elements_of, law_of
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.model.build import Part

CIR_230 = Code(
    "CIR-230", Severity.ERROR, "Both ends of a blend silence the instrument, though it sounds in between",
    text="Its wipers are the output, and each end grounds it.",
    advice="The pickups go to the wipers, the output to the ends.", was="C230")
CIR_231 = Code(
    "CIR-231", Severity.ERROR, "A blend has linear gangs: in its centre each pickup passes half of its track",
    advice="A blend needs half-dead gangs: each on its end for half of the turn.", was="C231")


def check(found: StateTable, say: Diagnostics) -> None:
    """Knobs with a centre detent: silent at both ends only, or gangs that are no blend law."""
    build = found.build
    blends: dict[str, list[tuple[Part, str]]] = {}
    for part, element in elements_of(build, "track"):
        control = part.symbol.control(element.by)
        if control is not None and control.detent:
            blends.setdefault(f"{part.name}.{element.by}", []).append((part, law_of(part, element).name))
    for knob, gangs in blends.items():
        part = gangs[0][0]
        if len(gangs) > 1 and any(name == "linear" for _, name in gangs):
            say.add(CIR_231, part.place,
                    f"{part.name} has linear gangs: in its centre each pickup passes half a track")
        ends = (state_table(build, {knob: turn}) for turn in (0.0, 10.0))
        if len(gangs) > 1 and not is_mute(found) and all(is_mute(end) for end in ends):
            say.add(CIR_230, part.place, f"silent at both ends of {part.name}: each end grounds the output")


RULE = Rule(60, check)
