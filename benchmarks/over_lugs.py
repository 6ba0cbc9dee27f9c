"""Counts, on the sheets as printed, leads over lugs that are not theirs, and ground shown where lugs are stacked.

Read off the finished marks of every sheet: the strokes of leads and braids at their drawn width against eyelets, pads
and joints; ground signs, rings and joints on places where lugs lie behind one another. Nothing of the router is asked;
the build only says which two lugs are a lead's own. ``over_lugs.py [-v] [FILE ...]``: all good samples and
``dense_builds.py``; ``-v`` names each finding.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import shapely
from dense_builds import BUILDS

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from diagramgen.analysis import Analysis, examine  # noqa: E402
from diagramgen.drawing.scene import Placed, Role, Shape, Sheet, walk_placed  # noqa: E402
from diagramgen.drawing.style import style_of  # noqa: E402
from diagramgen.layout.model import Layout  # noqa: E402
from diagramgen.sheets.printing import job_of, sheets_of  # noqa: E402
from diagramgen.sheets.registry import default_sheets  # noqa: E402
from diagramgen.sheets.sheet_kind import Request  # noqa: E402

SEEN = 0.12
"""Less of an overlap no eye sees, mm: half a line of 0.25 mm."""
DEEP = 1.0
"""Lugs of one part nearer than this in plan, mm in the instrument, lie behind one another."""
STROKES = frozenset({Role.LEAD_EDGE, Role.LEG, Role.BRAID})
JOINTS = frozenset({Role.JOINT, Role.JOINT_GROUND})
PADS = frozenset({Role.LUG_HOLE, Role.CASE_SPOT, Role.SOLID, Role.JACKET}) | JOINTS
SHEETS = (*default_sheets(), "player", "states", "record")


@dataclass
class Seen:
    """What is drawn on one sheet: lug -> the area of its marks, lead -> the area of its strokes."""

    pads: dict[str, list[shapely.Geometry]] = field(default_factory=dict)
    leads: dict[str, list[shapely.Geometry]] = field(default_factory=dict)
    grounds: set[str] = field(default_factory=set)
    """Lugs that bear a ring or a sign of ground."""
    hots: set[str] = field(default_factory=set)
    """Lugs that bear a joint of a signal."""


def seen_on(sheet: Sheet) -> Seen:
    """The marks of a sheet, by lug and by lead."""
    found = Seen()
    for one in walk_placed(sheet):
        kind, _, name = one.subject.partition(":")
        if not isinstance(one.mark, Shape) or (one.clip and one.clip.width * one.clip.height <= 0):
            continue
        role = one.mark.role
        if kind in ("lead", "braid") and (role in STROKES or role is Role.JACKET):
            found.leads.setdefault(one.subject, []).extend(_areas(one))
        elif kind == "lug":
            if role in PADS or (role is Role.LUG and _is_round(one.mark)):
                found.pads.setdefault(name, []).extend(_areas(one))
            if role in (Role.JOINT_GROUND, Role.GROUND):
                found.grounds.add(name)
            if role is Role.JOINT:
                found.hots.add(name)
    return found


def _is_round(mark: Shape) -> bool:
    box = mark.path[0].box()
    return abs(box.width - box.height) < 0.05 and len(mark.path[0].pieces) <= 4


def _areas(one: Placed) -> Iterator[shapely.Geometry]:
    """What a mark covers on the sheet; the window it is seen through cuts it."""
    assert isinstance(one.mark, Shape)
    mark = one.mark
    style = style_of(mark.role, mark.emphasis, mark.colour)
    half = max(style.width_mm * one.line_scale / 2 - SEEN / 2, 0.01)
    for path in mark.path:
        points = path.flat(0.05)
        filled = bool(style.fill) and path.closed and len(points) > 2
        shape = shapely.Polygon(points) if filled else shapely.LineString(points)
        area = shape.buffer(half)
        yield area.intersection(shapely.box(*one.clip)) if one.clip else area


def owners(layout: Layout) -> dict[str, set[str]]:
    """Lead or braid -> the lugs that are its own."""
    own: dict[str, set[str]] = {}
    build = layout.build
    for lead in (one.lead for one in layout.leads):
        own[f"lead:{lead.tag}"] = {str(end) for end in (lead.start, lead.end) if end.known}
        own[f"braid:{lead.tag}"] = {str(end) for end in lead.shield_to}
        if lead.cable in build.cables:
            own[f"braid:{lead.tag}"] |= {str(end) for end in build.cables[lead.cable].shield_to}
    return own


def stacks(proof: Analysis) -> dict[str, str]:
    """Each lug that lies in front of or behind another of its part -> a name of the place."""
    found: dict[str, str] = {}
    assert proof.layout is not None
    for part in proof.layout.parts.values():
        for lug in part.lugs.values():
            near = [o for o in part.lugs.values() if o.at.distance(lug.at) < DEEP]
            if len(near) > 1:
                found[lug.key] = min(o.key for o in near)
    return found


def measured(file: Path) -> list[tuple[str, str, str]]:
    """Every finding of a printed build: its kind, the kind of sheet, and what it is."""
    proof = examine(file)
    if proof.layout is None or proof.build is None:
        return [("not drawn", "", "")]
    made = sheets_of(job_of(proof, Request(sheets=SHEETS)))
    own, deep = owners(proof.layout), stacks(proof)
    found = [one for kind, sheets in made.items() if kind not in ("changes", "undo")
             for sheet in sheets for one in _on_sheet(seen_on(sheet), kind, own, deep)]
    return list(dict.fromkeys(found))


def _on_sheet(seen: Seen, kind: str, own: dict[str, set[str]], deep: dict[str, str]) -> Iterator[tuple[str, str, str]]:
    keys = sorted(seen.pads)
    pads = [shapely.union_all(seen.pads[key]) for key in keys]
    tree = shapely.STRtree(pads)
    for subject, areas in sorted(seen.leads.items()):
        mine = own.get(subject, set())
        drawn = shapely.union_all(areas)
        places = {deep.get(key, key) for key in mine}
        for hit in sorted(int(h) for h in tree.query(drawn, predicate="intersects")):
            key = keys[hit]
            if key not in mine and deep.get(key, key) not in places:
                yield "lead over a foreign lug", kind, f"{subject} over {key}"
    for key in sorted(seen.grounds & set(deep)):
        yield "ground on stacked lugs", kind, key
    for key in sorted(seen.hots & set(deep)):
        yield "joint of one of stacked lugs", kind, key


def main() -> None:
    loud = "-v" in sys.argv
    files = [Path(a) for a in sys.argv[1:] if a != "-v"]
    total: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        if not files:
            files = [p for p in sorted((ROOT / "samples").glob("*.yaml")) if not p.stem.startswith("wrong")]
            for name, text in BUILDS.items():
                files.append(Path(folder) / f"{name}.yaml")
                files[-1].write_text(text, encoding="utf-8")
        for file in files:
            found = measured(file)
            count = Counter(kind for kind, _, _ in found)
            total.update(count)
            print(f"{file.stem:24s} {said(count)}", flush=True)
            for kind, sheet, what in found if loud else ():
                print(f"    {kind}, {sheet}: {what}")
    print(f"{len(files)} builds, all their sheets: {said(total)}")


def said(count: Counter[str]) -> str:
    """The counts in words."""
    return ", ".join(f"{n} {kind}" for kind, n in sorted(count.items())) or "clean"


if __name__ == "__main__":
    main()
