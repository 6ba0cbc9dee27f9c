"""What a build must have for a kind of sheet, and why a build lacks it, in a sentence with a remedy."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.sheet_kind import Need

if TYPE_CHECKING:
    from diagramgen.analysis import Analysis


def _scale(analysis: Analysis) -> str:
    from diagramgen.layout.placement.guessed_places import given_up

    layout = analysis.layout
    lost = next((name for name in layout.regions if given_up(layout, name)), "") if layout is not None else ""
    if lost:
        return (f"not all parts find a place in '{lost}', so there is no sheet at full size. Print its diagram, or "
                "measure the holes.")
    if layout is None or not layout.to_scale:
        return "a build without measured places has no sheet at full size. Print its diagram, or measure the cavity."
    return ""


def _as_found(analysis: Analysis) -> str:
    from diagramgen.analysis import changes_of

    changes = changes_of(analysis)
    if changes is None:
        return "how the instrument was before the work is not known. Name its file under 'as found'."
    if not changes.any:
        return "nothing is changed between the build and the one it names under 'as found'."
    return ""


def _solved(analysis: Analysis) -> str:
    return "the circuit could not be solved. Mend the errors, then it is printed." if analysis.chart is None else ""


SCALE = Need("measured places", _scale)
AS_FOUND = Need("how it was before the work, with something changed since", _as_found)
SOLVED = Need("a circuit that could be solved", _solved)
