"""How wire is cut from lengths of one spool: first fit, the longest piece first, and what is left over."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from diagramgen.job.lead_list import by_wire
from diagramgen.job.lead_row import LeadRow
from diagramgen.kernel.colours import LeadColour

CABLE = "conductor of the cable"


@dataclass(frozen=True)
class Piece:
    """A piece to cut, mm: a lead, or a whole cable."""

    says: str
    mm: float


@dataclass(frozen=True)
class CutList:
    """One wire of a build: its pieces, length by length as it comes from the spool. All mm."""

    kind_says: str
    colour: LeadColour | None
    gauge: int | None
    lengths: tuple[tuple[Piece, ...], ...]
    """What is cut from each length; one long one where the spool has no given length."""
    spool: float
    """What a length measures; 0: as long as it takes."""
    too_long: tuple[Piece, ...]
    """Pieces no length is long enough for."""
    unmeasured: tuple[str, ...]
    """Tags without a length: measured on the instrument."""

    @property
    def together(self) -> float:
        """All pieces that are cut, mm."""
        return sum(p.mm for pieces in self.lengths for p in pieces)

    @property
    def waste(self) -> float:
        """What is left over of the lengths begun, mm; 0 where the spool has no given length."""
        return self.spool * len(self.lengths) - self.together if self.spool else 0.0


def first_fit(pieces: Sequence[float], length: float) -> list[list[int]]:
    """Indices of the pieces (mm, none above ``length``) cut from each length of ``length`` mm.

    Longest first, each from the first length with room (first fit decreasing): at most 11/9 of the fewest lengths
    and one more. Equal pieces keep their order.
    """
    rest: list[float] = []
    found: list[list[int]] = []
    for i in sorted(range(len(pieces)), key=lambda i: (-pieces[i], i)):
        at = next((n for n, left in enumerate(rest) if left + 1e-9 >= pieces[i]), len(rest))
        if at == len(rest):
            rest.append(length)
            found.append([])
        rest[at] -= pieces[i]
        found[at].append(i)
    return found


def cut_lists(rows: Iterable[LeadRow], spool: float = 0.0) -> tuple[CutList, ...]:
    """The cut list of every wire of a build; ``spool``: what one length of wire measures, mm, 0 for any length."""
    groups: dict[str, list[LeadRow]] = {}
    for i, group in enumerate(by_wire(rows)):
        # A cable of several conductors is cut once, for the longest of them.
        cable = group[0].kind_says.startswith(CABLE)
        groups.setdefault(group[0].kind_says if cable else str(i), []).extend(group)
    return tuple(_listed(group, spool) for group in groups.values())


def _listed(group: Sequence[LeadRow], spool: float) -> CutList:
    measured = [r for r in group if r.length is not None]
    pieces = [Piece(r.tag, r.length or 0.0) for r in measured]
    first = group[0]
    cable = first.kind_says.startswith(CABLE)
    if cable and pieces:
        pieces = [Piece(", ".join(p.says for p in pieces), max(p.mm for p in pieces))]
    fitting = [p for p in pieces if not spool or p.mm <= spool + 1e-9]
    lengths = first_fit([p.mm for p in fitting], spool or sum(p.mm for p in fitting))
    return CutList(
        first.kind_says.removeprefix("conductor of the ") if cable else first.kind_says,
        None if cable else first.colour, first.gauge,
        tuple(tuple(fitting[i] for i in one) for one in lengths), spool,
        tuple(p for p in pieces if p not in fitting), tuple(r.tag for r in group if r.length is None))
