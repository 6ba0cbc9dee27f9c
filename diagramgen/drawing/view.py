"""Views: the finished layout as seen on a sheet, enlarged or from the other side.

A view acts on finished geometry; it is not the hand of the instrument, which acts on placement. Seen from
the other side everything is mirrored, lugs and turning sense too, and what lay above lies beneath.
"""

from __future__ import annotations

from dataclasses import replace

from diagramgen.kernel.geometry import Path, Transform, box_around, mirrored
from diagramgen.layout.model import ChannelPort, LaidLead, Layout, PlacedLug, PlacedPart, Region
from diagramgen.library.model import Zone


def seen(layout: Layout, view: Transform) -> Layout:
    """The layout with all geometry mapped by ``view``; ratings such as depths and true lengths stay."""

    def path(p: Path) -> Path:
        return p.mapped(view)

    def zones(found: tuple[Zone, ...]) -> tuple[Zone, ...]:
        return tuple(replace(z, outline=path(z.outline)) for z in found)

    def lug(one: PlacedLug) -> PlacedLug:
        return replace(
            one,
            at=view(one.at),
            away=None if one.away is None else view.direction(one.away),
            tongue=path(one.tongue) if one.tongue else None,
            hole=one.hole * view.scale,
        )

    def part(p: PlacedPart) -> PlacedPart:
        return replace(
            p,
            place=p.place.then(view),
            body=zones(p.body),
            details=zones(p.details),
            keep_clear=zones(p.keep_clear),
            lugs={name: lug(one) for name, one in p.lugs.items()},
            box=box_around(view(c) for c in p.box.corners()),
        )

    def region(r: Region) -> Region:
        box = box_around(view(c) for c in r.box.corners())
        posts = tuple(path(post) for post in r.posts)
        return replace(r, outline=path(r.outline), box=box, flipped=r.flipped != view.mirrors, posts=posts)

    def door(d: ChannelPort) -> ChannelPort:
        return replace(d, centre=view(d.centre), inward=view.direction(d.inward), width=d.width * view.scale,
                       slots={tag: view(at) for tag, at in d.slots.items()})

    def lead(laid: LaidLead) -> LaidLead:
        return replace(laid, spans=tuple(replace(s, path=path(s.path)) for s in laid.spans))

    return replace(
        layout,
        regions={name: region(r) for name, r in layout.regions.items()},
        parts={name: part(p) for name, p in layout.parts.items()},
        ports=tuple(door(d) for d in layout.ports),
        leads=tuple(lead(one) for one in layout.leads),
        box=box_around(view(c) for c in layout.box.corners()),
        mirrored=layout.mirrored != view.mirrors,
    )


def from_the_player(layout: Layout) -> Layout:
    """The layout as the player sees it through the wood: left and right change places about its middle."""
    return seen(layout, mirrored(layout.box.centre.x))
