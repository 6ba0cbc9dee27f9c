"""The lead list as files: CSV (RFC 4180) and JSON with a format version.

Columns and keys are never renamed or reordered; new ones are added at the end. Lengths are mm with one
decimal at most, a point as decimal sign; what is not known is empty (CSV) or null (JSON). ``docs/lead-list.md``
lists each, written from ``COLUMNS``.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from diagramgen.job.lead_list import Joint, WireTotal
from diagramgen.job.lead_row import LeadRow
from diagramgen.kernel.colours import LeadColour
from diagramgen.kernel.columns import Column, Form, cells, csv_table, json_row
from diagramgen.kernel.units import number
from diagramgen.model.build import UnreadLead

FORMAT = 1
"""Version of the JSON form; raised when a key changes its meaning."""

COLOUR = "short word, IEC 60757 code (base/stripe; `BARE` is ours)"
KIND = ("wire, shielded, bare, leg, bend, sleeved, bridge, or missing (its line could not be read; printed in spite of "
        "errors); the same in words")
STRIP = "`strip 6`, `push 6` (cloth), `bare`, or empty"


def _colour(colour: LeadColour | None) -> dict[str, str] | None:
    return {"code": colour.code, "short": colour.short, "word": colour.word} if colour else None


def _figure(value: float | None, decimals: int = 1) -> float | None:
    return None if value is None else float(number(value, decimals))


def _source(row: LeadRow) -> str:
    """Where the cut length comes from: the file, the drawing, or nowhere."""
    if row.cut.total is None:
        return "none"
    return "file" if row.cut.given else "drawing"


def _share(name: str) -> Callable[[LeadRow], float | None]:
    """What a part of the way adds to the cut length, mm; None where no length was worked out."""
    return lambda row: _figure(row.cut.share(name) if row.cut.shares else None)


COLUMNS: tuple[Column[LeadRow], ...] = (
    Column("tag", "", "tag of the lead, as printed at both its ends", lambda row: row.tag),
    Column("from", "", "`part.lug`, `unknown` or `parked`", lambda row: row.start, key="from.lug"),
    Column("to", "", "`part.lug`, `unknown` or `parked`", lambda row: row.end, key="to.lug"),
    Column("from_words", "", "the same in shop words", lambda row: row.start_says, key="from.words"),
    Column("to_words", "", "the same in shop words", lambda row: row.end_says, key="to.words"),
    Column("colour", "", COLOUR, lambda row: row.colour and row.colour.short, Form.CSV),
    Column("colour_code", "", COLOUR, lambda row: row.colour and row.colour.code, Form.CSV),
    Column("colour", "", "", lambda row: _colour(row.colour), Form.JSON),
    Column("kind", "", KIND, lambda row: row.kind),
    Column("kind_words", "", KIND, lambda row: row.kind_says),
    Column("gauge_awg", "AWG", "gauge of the wire", lambda row: row.gauge),
    Column("outer_mm", "mm", "diameter over the insulation, as given or typical",
           lambda row: _figure(row.diameter, 2)),
    Column("route_mm", "mm", "as laid inside the cavities", _share("route"), Form.CSV),
    Column("route_mm", "mm", "", lambda row: _figure(row.route), Form.JSON),
    Column("channel_mm", "mm", "lengths of the channels passed", _share("channel"), Form.CSV),
    Column("rise_mm", "mm", "from each lug to the depth the lead runs at: the deepest of its lugs there and of the "
           "bodies it passes over", _share("rise"), Form.CSV),
    Column("joint_mm", "mm", "bare wire in both joints: eyelet 6, spot 8, pad 3, screw 8, clip 6, sleeve 8; pickup "
           "conductors 4; cloth 0", _share("joint"), Form.CSV),
    Column("hinge_mm", "mm", "125 where a lead leaves a hinged plate", _share("hinge"), Form.CSV),
    Column("slack_mm", "mm", "service slack of the build", _share("slack"), Form.CSV),
    Column("rounding_mm", "mm", "up to whole 5 mm", _share("rounding"), Form.CSV),
    Column("cut_mm", "mm", "what to cut: the sum, or the length given in the file",
           lambda row: _figure(row.cut.total)),
    Column("cut_from", "", "drawing, file or none", _source),
    Column("need_mm", "mm", "", lambda row: _figure(row.cut.need), Form.JSON),
    Column("shares", "", "", lambda row: [{"name": s.name, "mm": _figure(s.mm), "words": s.says}
                                          for s in row.cut.shares], Form.JSON),
    Column("reason", "", "", lambda row: row.cut.reason, Form.JSON),
    Column("own_cable_of", "", "", lambda row: row.cut.owner or None, Form.JSON),
    Column("strip_from", "", STRIP, lambda row: row.cut.strips[0], key="from.strip"),
    Column("strip_to", "", STRIP, lambda row: row.cut.strips[1], key="to.strip"),
    Column("channels", "", "channels passed, parted by blanks", lambda row: row.channels, between=" "),
    Column("shield_to", "", "where its braid is soldered, in words, parted by `; `", lambda row: row.shield_says),
    Column("group", "", "the stop at which it is metered: cases, harness, cavity, channels, pickups",
           lambda row: row.group),
    Column("reused", "", "yes where the lead was found in the instrument and kept", lambda row: row.reused),
    Column("remark", "", "free text", lambda row: row.remark),
    Column("file_check", "", "the first 8 digits of the checksum over the build file, what it names and the symbols "
           "used; the sheets bear the same", form=Form.CSV),
    Column("twist_mm", "mm", "what winding round the lead it is twisted with takes: a turn every 12 mm",
           _share("twist"), Form.CSV),
)


def leads_csv(rows: Iterable[LeadRow], check: str = "", unread: Iterable[UnreadLead] = ()) -> str:
    """Write the list as CSV text with a header and CR LF line ends (RFC 4180); write it without translating them.

    A lead that could not be read has a row of kind ``missing``, with what is written there as its remark.
    """
    made = [*(cells(COLUMNS, row) for row in rows), *(_missing(lead) for lead in unread)]
    return csv_table(COLUMNS, made, file_check=check)


def _missing(lead: UnreadLead) -> dict[str, str]:
    return {"tag": lead.tag, "kind": "missing", "kind_words": "could not be read: left out of every sheet",
            "remark": f"line {lead.place.line}: {lead.says}"}


def leads_json(
    rows: Sequence[LeadRow], totals: Iterable[WireTotal], made: Iterable[Joint], check: str = "",
    unread: Iterable[UnreadLead] = (),
) -> str:
    """Write rows, totals and joints as JSON text, keys in a fixed order, ending in one line feed; lengths in mm."""
    whole = {
        "format": FORMAT,
        "unit": "mm",
        "leads": [json_row(COLUMNS, r) for r in rows],
        "totals": [_total(t) for t in totals],
        "joints": [_joint(j) for j in made],
        "file_check": check,
        "missing": [{"tag": u.tag or None, "line": u.place.line, "words": u.says} for u in unread],
    }
    return json.dumps(whole, ensure_ascii=False, indent=1) + "\n"


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
