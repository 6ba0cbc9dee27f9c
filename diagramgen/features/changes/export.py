"""What is changed as files: CSV (RFC 4180), a row a part or lead, and JSON with the steps and a format version.

Columns and keys are never renamed or reordered; new ones are added at the end. ``docs/changes.md`` lists each,
written from ``COLUMNS``.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from typing import Any

from diagramgen.job.change_steps import DO, Step, cannot_undo, questions, steps, to_keep
from diagramgen.job.changes import Changes, LeadChange, counts, undo
from diagramgen.job.part_changes import PartChange, values_in_words
from diagramgen.job.words import end_words
from diagramgen.kernel.colours import LeadColour
from diagramgen.kernel.columns import Column, cells, csv_table
from diagramgen.model.build import Build, End, Lead

FORMAT = 1
"""Version of the JSON form; raised when a key changes its meaning."""
FOUND = "the lead's ends as found, `part.lug`; empty where it comes"
LEFT = "its ends as left; empty where it goes"
COLOUR = "short word, IEC 60757 code"
JOINTS = "joints it comes off, joints it is soldered into, in words, parted by `; `"


@dataclass(frozen=True)
class _Changed:
    """What becomes of one lead, and the builds its ends are said of."""

    change: LeadChange
    changes: Changes

    def end(self, side: str, which: str) -> str | None:
        """Lug of the lead's ``start`` or ``end`` as ``found`` or ``left``; None where there is no such lead."""
        lead: Lead | None = getattr(self.change, side)
        return None if lead is None else str(getattr(lead, which))

    @property
    def colour(self) -> LeadColour | None:
        """Of the lead as left, or as found where it goes."""
        return self.change.lead.colour


COLUMNS: tuple[Column[_Changed], ...] = (
    Column("kind", "", "part or lead", lambda row: "lead"),
    Column("name", "", "the part's name, or the lead's tag", lambda row: row.change.tag),
    Column("what", "", "a part: stays, out, in, replaced, moves, metered; a lead: stays, goes, comes, moves, lifted, "
           "shortened, renewed, relaid, unsure", lambda row: row.change.what),
    Column("found_from", "", FOUND, lambda row: row.end("found", "start")),
    Column("found_to", "", FOUND, lambda row: row.end("found", "end")),
    Column("left_from", "", LEFT, lambda row: row.end("left", "start")),
    Column("left_to", "", LEFT, lambda row: row.end("left", "end")),
    Column("colour", "", COLOUR, lambda row: row.colour and row.colour.short),
    Column("colour_code", "", COLOUR, lambda row: row.colour and row.colour.code),
    Column("opens", "", JOINTS, lambda row: tuple(end_words(row.changes.found, e) for e in row.change.opens)),
    Column("makes", "", JOINTS, lambda row: tuple(end_words(row.changes.left, e) for e in row.change.makes)),
    Column("words", "", "a part's kind and values, and what differs"),
    Column("file_check", "", "the first 8 digits of the checksum, as on the sheets"),
)


def changes_csv(changes: Changes, check: str = "") -> str:
    """Write every part and lead as CSV text with a header and CR LF line ends; write it without translating them."""
    parts = [{"kind": "part", "name": part.name, "what": part.what,
              "words": "; ".join(filter(None, (values_in_words(part.part), *part.details)))} for part in changes.parts]
    leads = [cells(COLUMNS, _Changed(lead, changes)) for lead in changes.leads]
    return csv_table(COLUMNS, [*parts, *leads], file_check=check)


def changes_dict(changes: Changes) -> dict[str, Any]:
    """Everything that is done, kept and not given back, as plain values, keys in a fixed order."""
    return {
        "format": FORMAT,
        "counts": asdict(counts(changes)),
        "questions": list(questions(changes)),
        "parts": [_part(p) for p in changes.parts],
        "leads": [_lead(c, changes) for c in changes.leads],
        "steps": list(_steps(steps(changes))),
        "keep": list(to_keep(changes)),
        "cannot_undo": list(cannot_undo(changes)),
        "undo": list(_steps(steps(undo(changes)))),
    }


def changes_json(changes: Changes, check: str = "") -> str:
    """The same as JSON text, ending in one line feed."""
    return json.dumps(changes_dict(changes) | {"file_check": check}, ensure_ascii=False, indent=1) + "\n"


def _part(part: PartChange) -> dict[str, Any]:
    return {
        "name": part.name,
        "words": part.part.says,
        "what": part.what,
        "found": values_in_words(part.found) if part.found else None,
        "left": values_in_words(part.left) if part.left else None,
        "details": list(part.details),
    }


def _lead(change: LeadChange, changes: Changes) -> dict[str, Any]:
    colour = change.lead.colour
    return {
        "tag": change.tag,
        "what": change.what,
        "colour": {"code": colour.code, "short": colour.short, "word": colour.word} if colour else None,
        "kind": change.lead.kind,
        "found": _ends(changes.found, change.found),
        "left": _ends(changes.left, change.left),
        "opens": [_end(changes.found, e) for e in change.opens],
        "makes": [_end(changes.left, e) for e in change.makes],
    }


def _ends(build: Build, lead: Lead | None) -> dict[str, Any] | None:
    return None if lead is None else {"tag": lead.tag, "from": _end(build, lead.start), "to": _end(build, lead.end)}


def _end(build: Build, end: End) -> dict[str, str]:
    return {"lug": str(end), "words": end_words(build, end)}


def _steps(found: Iterable[Step]) -> Iterator[dict[str, Any]]:
    for n, step in enumerate(found, 1):
        leads = [{"tag": one.change.tag, "words": one.says} for one in step.leads]
        yield {"number": n, "do": step.do, "do_words": DO[step.do], "at": step.subject, "words": step.says,
               "leads": leads, "stays": list(step.stays)}
