"""What is changed as files: CSV (RFC 4180), a row a part or lead, and JSON with the steps and a format version.

Columns and keys are never renamed or reordered; new ones are added at the end. ``docs/changes.md`` describes each.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from typing import Any

from diagramgen.job.change_steps import DO, Step, cannot_undo, questions, steps, to_keep
from diagramgen.job.changes import Changes, LeadChange, counts, undo
from diagramgen.job.part_changes import PartChange, values_in_words
from diagramgen.job.words import end_words
from diagramgen.kernel.csvtext import csv_text
from diagramgen.model.build import Build, End, Lead

FORMAT = 1
"""Version of the JSON form; raised when a key changes its meaning."""
COLUMNS = (
    "kind", "name", "what", "found_from", "found_to", "left_from", "left_to", "colour", "colour_code", "opens", "makes",
    "words", "file_check",
)


def changes_csv(changes: Changes, check: str = "") -> str:
    """Every part and lead as CSV text with a header and CR LF line ends; write it without translating them."""
    found: list[dict[str, str]] = []
    for part in changes.parts:
        words = "; ".join(filter(None, (values_in_words(part.part), *part.details)))
        found.append({"kind": "part", "name": part.name, "what": part.what, "words": words})
    found += [_cells(lead, changes) for lead in changes.leads]
    return csv_text(COLUMNS, ([(one | {"file_check": check}).get(c, "") for c in COLUMNS] for one in found))


def _cells(change: LeadChange, changes: Changes) -> dict[str, str]:
    cells = {"kind": "lead", "name": change.tag, "what": change.what}
    for side, lead in (("found", change.found), ("left", change.left)):
        if lead is not None:
            cells |= {f"{side}_from": str(lead.start), f"{side}_to": str(lead.end)}
    colour = change.lead.colour
    if colour:
        cells |= {"colour": colour.short, "colour_code": colour.code}
    cells["opens"] = "; ".join(end_words(changes.found, e) for e in change.opens)
    cells["makes"] = "; ".join(end_words(changes.left, e) for e in change.makes)
    return cells


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
