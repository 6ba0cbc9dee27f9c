"""Why a build has no sheet of a kind: what each need of a kind lacks, in a sentence with a remedy."""

from __future__ import annotations

from diagramgen.analysis import Analysis, changes_of
from diagramgen.layout.placement.guessed_places import given_up
from diagramgen.sheets.sheet_kind import Need


def lacks(need: Need, analysis: Analysis) -> str:
    """What a build lacks of a need, with what to do about it; '' where it lacks nothing."""
    return {Need.SCALE: _scale, Need.AS_FOUND: _as_found, Need.SOLVED: _solved}[need](analysis)


def _scale(analysis: Analysis) -> str:
    layout = analysis.layout
    lost = next((name for name in layout.regions if given_up(layout, name)), "") if layout is not None else ""
    if lost:
        return (f"not all parts find a place in '{lost}', so there is no sheet at full size. Print its diagram, or "
                "measure the holes.")
    if layout is None or not layout.to_scale:
        return "a build without measured places has no sheet at full size. Print its diagram, or measure the cavity."
    return ""


def _as_found(analysis: Analysis) -> str:
    changes = changes_of(analysis)
    if changes is None:
        return "how the instrument was before the work is not known. Name its file under 'as found'."
    if not changes.any:
        return "nothing is changed between the build and the one it names under 'as found'."
    return ""


def _solved(analysis: Analysis) -> str:
    return "the circuit could not be solved. Mend the errors, then it is printed." if analysis.chart is None else ""
