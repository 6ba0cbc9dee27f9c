"""What the file asks of single leads: past which parts, along the wall, apart from or twisted with others.

Remarks that contradict each other, or that cannot be heeded at all, are said here and left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.layout.codes import RTE_102, RTE_103, RTE_107
from diagramgen.layout.fit.wire_sizes import outer_diameter
from diagramgen.layout.global_routing.crossable import OVER_ROOM, free_over, room_under
from diagramgen.layout.placement.arrange_cavities import Placement
from diagramgen.layout.placement.place_parts import hulls
from diagramgen.model.build import Lead


@dataclass(frozen=True)
class Constraints:
    """What the file asks of one lead, as far as it can be kept: parts to pass, leads apart or twisted, the wall."""

    over: tuple[str, ...] = ()
    under: tuple[str, ...] = ()
    apart: tuple[str, ...] = ()
    twisted: str = ""
    along: bool = False


def constraints_of(placement: Placement, say: Diagnostics) -> dict[str, Constraints]:
    """Read the constraints of every lead.

    Those that contradict each other or cannot be kept are reported and left out.
    """
    leads = {lead.tag: lead for lead in placement.leads}
    return {lead.tag: _kept(placement, lead, leads, say) for lead in placement.leads}


def _kept(placement: Placement, lead: Lead, leads: Mapping[str, Lead], say: Diagnostics) -> Constraints:
    both = [name for name in lead.over if name in lead.under]
    for name in both:
        _contradict(lead, f"over {name}", f"under {name}", say)
    with_me = [t for t, other in leads.items() if t == lead.twisted_with or other.twisted_with == lead.tag]
    clash = [t for t in lead.apart_from if t in with_me]
    for tag in dict.fromkeys(clash):
        _contradict(lead, f"apart from {tag}", f"twisted with {tag}", say)
    # Said at the lead that is to be apart; the other one only does without.
    clash += [t for t in with_me if lead.tag in leads[t].apart_from and t == lead.twisted_with]
    twisted = lead.twisted_with if lead.twisted_with in leads and lead.twisted_with not in clash else ""
    return Constraints(
        over=tuple(n for n in lead.over if n not in both and _can_pass(placement, lead, n, "over", say)),
        under=tuple(n for n in lead.under if n not in both and _can_pass(placement, lead, n, "under", say)),
        apart=tuple(t for t in lead.apart_from if t in leads and t not in clash and t != lead.tag),
        twisted=twisted if twisted != lead.tag else "",
        along=lead.along_wall and _has_wall(placement, lead, say),
    )


def _contradict(lead: Lead, one: str, other: str, say: Diagnostics) -> None:
    say.add(
        RTE_107,
        lead.place,
        f"lead {lead.tag} is asked to lie '{one}' and '{other}': neither is heeded",
    )


def _has_wall(placement: Placement, lead: Lead, say: Diagnostics) -> bool:
    passed = placement.global_routes[lead.tag].regions
    if any(placement.regions[r].kind == "cavity" for r in passed if r in placement.regions):
        return True
    say.add(
        RTE_102,
        lead.place,
        f"lead {lead.tag} is asked to lie along the wall, but passes no cavity",
        "Leave 'along wall' out, or give the cavity.",
    )
    return False


def _can_pass(placement: Placement, lead: Lead, name: str, how: str, say: Diagnostics) -> bool:
    """Whether a lead may be laid over or under a part; the reason why not is said."""
    part = placement.parts.get(name)
    if part is None:
        return False
    if part.region not in placement.global_routes[lead.tag].regions:
        why = f"it does not pass {part.region}, where {name} stands"
    elif not hulls(part):
        return True
    elif how == "over":
        free = free_over(placement, part)
        if free is None or free >= max(OVER_ROOM, outer_diameter(lead, placement.build) + 2.0):
            return True
        why = f"{max(free, 0.0):.1f} mm are free above {name}, {OVER_ROOM:.0f} mm at least are needed"
    elif room_under(part, outer_diameter(lead, placement.build)):
        return True
    else:
        why = f"{name} leaves no room beneath it"
    say.add(
        RTE_103,
        lead.place,
        f"lead {lead.tag} is not laid {how} {name}: {why}",
        f"Leave '{how} {name}' out, or lead it past another place with 'via'.",
    )
    return False
