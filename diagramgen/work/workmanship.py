"""Published figures of good joints that bear on a build, each with its source."""

from __future__ import annotations

from dataclasses import dataclass

from diagramgen.layout.model import Layout


@dataclass(frozen=True)
class Figure:
    """A figure, what it asks, and where it is printed."""

    what: str
    says: str
    source: str


ALWAYS = (
    Figure("gap to the covering", "1 to 2 diameters of the covered wire between covering and solder; none buried in it",
           "US Army STP 11-25R13, A-9; NASA-STD-8739.3, 9.1"),
    Figure("strands", "none cut; a frayed covering stands out by a quarter of its diameter at most",
           "NASA-STD-8739.4, 10"),
    Figure("round an eyelet", "at least a quarter turn, 90°", "IPC-A-610F, table 6-3 (class 2)"),
    Figure("tin-lead solder", "63/37 sets at 183 °C at once; 60/40 is soft from 183 to about 190: hold still",
           "tables of solder alloys"),
    Figure("spare at a wire's end", "enough to make its joint anew twice", "FAA AC 43.13-1B, 11-96 to 11-158"),
)
BRAIDED = (
    Figure("strands of a braid", "one in ten nicked at most, none cut", "NASA-STD-8739.4, 10"),
)
IN_THE_AIR = (
    Figure("lapped joint in the air", "3 to 6 diameters of contact", "NASA-STD-8739.4, 19.6"),
    Figure("sleeve over a joint", "5 mm and two diameters over the covering at each end", "NASA-STD-8739.3, 9.8"),
)


def figures_for(layout: Layout) -> tuple[Figure, ...]:
    """Figures that bear on a build: those of braids and of joints in the air only where it has one."""
    air = any(lead.lead.kind == "sleeved" for lead in layout.leads) or any(
        lug.kind == "sleeve" for placed in layout.parts.values() for lug in placed.lugs.values())
    braid = any(lead.lead.kind == "shielded" for lead in layout.leads)
    return ALWAYS + BRAIDED * braid + IN_THE_AIR * air
