"""The kinds of sheets there are, and why a build has none of a kind."""

from __future__ import annotations

SHEETS = ("diagram", "bench", "jig", "template", "cover", "stages", "work", "changes", "undo", "proof", "test",
          "leads")
"""What ``print`` makes: full-size diagram, enlarged bench page, harness jig, drilling template, inside of the cover,
stages, work (joints in order), changes and undo (where the state as found is known), proof, test page, lead list."""
ON_REQUEST = ("player", "curves", "states", "intake", "closing", "record", "packet", "faults")
"""What is made only when asked for by name: the diagram from the player's side, response curves, states, the papers at
the beginning and the end of a job, the customer's record, all sheets in one file with its contents, and the table of
single faults."""
KINDS = (*SHEETS, *ON_REQUEST)
"""Every kind of sheet that can be asked for."""
RECORD = ("diagram", "bench", "undo")
"""What goes with the customer's record: of use to the next technician only with these."""
PACKET = ("packet", *SHEETS, "intake", "closing", "record")
"""What a packet holds where nothing else is asked for with it."""


def why_not(kind: str, *, to_scale: bool, lost: str, solved: bool, found_known: bool, changed: bool) -> str:
    """Why a build has no sheet of this kind, with what to do about it; '' where it has one.

    ``to_scale``: its places were measured; ``lost``: a cavity in which not all parts find a place; ``solved``: its
    circuit was; ``found_known``: it names how it was before the work; ``changed``: that differs from how it is left.
    """
    if kind in ("jig", "template") and lost:
        return (f"not all parts find a place in '{lost}', so there is no sheet at full size. Print its diagram, or "
                "measure the holes.")
    if kind in ("jig", "template") and not to_scale:
        return "a build without measured places has no sheet at full size. Print its diagram, or measure the cavity."
    if kind in ("changes", "undo") and not found_known:
        return "how the instrument was before the work is not known. Name its file under 'as found'."
    if kind in ("changes", "undo") and not changed:
        return "nothing is changed between the build and the one it names under 'as found'."
    if kind in ("proof", "curves", "states", "faults") and not solved:
        return "the circuit could not be solved. Mend the errors, then it is printed."
    return ""
