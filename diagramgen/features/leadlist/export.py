"""The lead list as files: CSV (RFC 4180) and JSON with a format version.

Columns and keys are never renamed or reordered; new ones are added at the end. Lengths are mm with one
decimal at most, a point as decimal sign; what is not known is empty (CSV) or null (JSON). ``docs/lead-list.md``
describes each.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any

from diagramgen.job.lead_list import Joint, WireTotal
from diagramgen.job.lead_row import LeadRow
from diagramgen.kernel.colours import LeadColour
from diagramgen.kernel.csvtext import csv_text
from diagramgen.kernel.units import number
from diagramgen.model.build import UnreadLead

FORMAT = 1
"""Version of the JSON form; raised when a key changes its meaning."""

COLUMNS = (
    "tag", "from", "to", "from_words", "to_words", "colour", "colour_code", "kind", "kind_words", "gauge_awg",
    "outer_mm", "route_mm", "channel_mm", "rise_mm", "joint_mm", "hinge_mm", "slack_mm", "rounding_mm", "cut_mm",
    "cut_from", "strip_from", "strip_to", "channels", "shield_to", "group", "reused", "remark",
    "file_check", "twist_mm",
)


def leads_csv(rows: Iterable[LeadRow], check: str = "", unread: Iterable[UnreadLead] = ()) -> str:
    """The list as CSV text with a header and CR LF line ends (RFC 4180); write it without translating them.

    A lead that could not be read has a row of kind ``missing``, with what is written there as its remark.
    """
    cells = [_cells(row) for row in rows] + [_missing(lead) for lead in unread]
    return csv_text(COLUMNS, ([(one | {"file_check": check})[c] for c in COLUMNS] for one in cells))


def _missing(lead: UnreadLead) -> dict[str, str]:
    return dict.fromkeys(COLUMNS, "") | {
        "tag": lead.tag, "kind": "missing", "kind_words": "could not be read: left out of every sheet",
        "remark": f"line {lead.place.line}: {lead.says}"}


def _cells(row: LeadRow) -> dict[str, str]:
    cut = row.cut
    shares = {f"{n}_mm": _mm(cut.share(n) if cut.shares else None)
              for n in ("route", "channel", "rise", "joint", "hinge", "slack", "rounding", "twist")}
    return {
        "tag": row.tag,
        "from": row.start,
        "to": row.end,
        "from_words": row.start_says,
        "to_words": row.end_says,
        "colour": row.colour.short if row.colour else "",
        "colour_code": row.colour.code if row.colour else "",
        "kind": row.kind,
        "kind_words": row.kind_says,
        "gauge_awg": "" if row.gauge is None else str(row.gauge),
        "outer_mm": "" if row.diameter is None else number(row.diameter, 2),
        **shares,
        "cut_mm": _mm(cut.total),
        "cut_from": _source(row),
        "strip_from": cut.strips[0],
        "strip_to": cut.strips[1],
        "channels": " ".join(row.channels),
        "shield_to": "; ".join(row.shield_says),
        "group": row.group,
        "reused": "yes" if row.reused else "no",
        "remark": row.remark,
    }


def _mm(value: float | None) -> str:
    return "" if value is None else number(value)


def _source(row: LeadRow) -> str:
    """Where the cut length comes from: the file, the drawing, or nowhere."""
    if row.cut.total is None:
        return "none"
    return "file" if row.cut.given else "drawing"


def leads_json(
    rows: Sequence[LeadRow], totals: Iterable[WireTotal], made: Iterable[Joint], check: str = "",
    unread: Iterable[UnreadLead] = (),
) -> str:
    """Rows, totals and joints as JSON text, keys in a fixed order, ending in one line feed."""
    whole = {
        "format": FORMAT,
        "unit": "mm",
        "leads": [_row(r) for r in rows],
        "totals": [_total(t) for t in totals],
        "joints": [_joint(j) for j in made],
        "file_check": check,
        "missing": [{"tag": u.tag or None, "line": u.place.line, "words": u.says} for u in unread],
    }
    return json.dumps(whole, ensure_ascii=False, indent=1) + "\n"


def _colour(colour: LeadColour | None) -> dict[str, str] | None:
    return {"code": colour.code, "short": colour.short, "word": colour.word} if colour else None


def _figure(value: float | None, decimals: int = 1) -> float | None:
    return None if value is None else float(number(value, decimals))


def _row(row: LeadRow) -> dict[str, Any]:
    cut = row.cut
    return {
        "tag": row.tag,
        "from": {"lug": row.start, "words": row.start_says, "strip": cut.strips[0]},
        "to": {"lug": row.end, "words": row.end_says, "strip": cut.strips[1]},
        "colour": _colour(row.colour),
        "kind": row.kind,
        "kind_words": row.kind_says,
        "gauge_awg": row.gauge,
        "outer_mm": _figure(row.diameter, 2),
        "route_mm": _figure(row.route),
        "cut_mm": _figure(cut.total),
        "cut_from": _source(row),
        "need_mm": _figure(cut.need),
        "shares": [{"name": s.name, "mm": _figure(s.mm), "words": s.says} for s in cut.shares],
        "reason": cut.reason,
        "own_cable_of": cut.owner or None,
        "channels": list(row.channels),
        "shield_to": list(row.shield_says),
        "group": row.group,
        "reused": row.reused,
        "remark": row.remark,
    }


def _total(total: WireTotal) -> dict[str, Any]:
    return {
        "kind_words": total.kind_says,
        "colour": _colour(total.colour),
        "gauge_awg": total.gauge,
        "leads": total.leads,
        "length_mm": _figure(total.length),
        "unmeasured": total.unmeasured,
    }


def _joint(joint: Joint) -> dict[str, Any]:
    return {
        "lug": joint.key,
        "words": joint.says,
        "kind": joint.kind,
        "wires": joint.wires,
        "takes": joint.takes,
        "ends": [{"tag": e.tag, "words": e.says, "kind": e.kind, "wires": e.wires} for e in joint.ends],
    }
