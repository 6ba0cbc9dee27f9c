"""One row of the lead list, and how it shows itself; ``job/lead_list.py`` makes them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagramgen.kernel.brief import brief
from diagramgen.kernel.colours import LeadColour
from diagramgen.kernel.units import number

if TYPE_CHECKING:
    from diagramgen.job.lengths import CutLength


@dataclass(frozen=True, repr=False)
class LeadRow:
    """One lead, ready to be cut and soldered from. Lengths and diameters in mm."""

    tag: str
    pinned: bool
    start: str
    """``part.lug``, unknown or parked."""
    end: str
    start_says: str
    end_says: str
    colour: LeadColour | None
    kind: str
    kind_says: str
    gauge: int | None
    """AWG; None where no wire is cut or a part's own conductor has no figure."""
    diameter: float | None
    route: float | None
    """Length as laid, channels included, without rise, joints and slack."""
    cut: CutLength
    channels: tuple[str, ...]
    shield_says: tuple[str, ...]
    """Where its braid is soldered, in shop words."""
    group: str
    """Of ``order.GROUPS``: the stop of the work at which it is metered."""
    reused: bool
    remark: str

    @property
    def group_says(self) -> str:
        """The group in words."""
        from diagramgen.job.order import GROUPS

        return GROUPS[self.group]

    @property
    def length(self) -> float | None:
        """What to cut, mm."""
        return self.cut.total

    def __repr__(self) -> str:
        """One line: tag, ends, colour, what to cut or why nothing is said of it."""
        cut = self.cut.reason if self.length is None else f"{number(self.length)} mm"
        colour = self.colour.word if self.colour else ""
        return brief("LeadRow", f"{self.tag}: {self.start} -> {self.end}", colour, cut)
