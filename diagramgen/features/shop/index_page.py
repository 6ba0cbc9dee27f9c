"""The index of the shop as one HTML page that needs nothing else: no network, no server, no other file but the sheets.

The template escapes every text of a job, and the page's own policy runs no script but its own. The page is whole
without it: the script only hides rows.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePosixPath
from urllib.parse import quote

from diagramgen.features.shop.index_sheet import by_number
from diagramgen.features.shop.jobs import Job
from diagramgen.kernel.tokens import custom_properties
from diagramgen.writers.markup import Markup
from diagramgen.writers.templates import rendered, shipped, source_of

HEADS = ("job", "instrument and work", "customer", "parts", "sheets")
MOST_PROBLEMS = 5
"""Problems of a job that was not printed, told in its row."""


@dataclass(frozen=True)
class _Row:
    """A job as its row shows it."""

    job: Job
    work: tuple[str, ...]
    """Instrument and title, as far as they are given."""
    customer: tuple[str, ...]
    """Customer and reference, as far as they are given."""
    told: str
    """Date and revision."""
    links: tuple[tuple[str, str], ...]
    """Sheets that a browser opens: address as seen from the page, file name."""
    problems: tuple[str, ...]
    """The first line of each."""


def index_page(jobs: Sequence[Job], folders: Sequence[str], check: str) -> bytes:
    """Write the index of jobs as HTML in UTF-8, one row a job, by job number.

    Parameters: folders - for each job that of its sheets, as seen from the page; check - the index's file check.
    Raises: ValueError where there are not as many folders as jobs.
    """
    places = dict(zip((job.file for job in jobs), folders, strict=True))
    # The style and the script begin on a line of their own; the digest is that of all between the tags.
    script = Markup("\n" + shipped("shop/index.js"))
    return rendered("shop/index.html.j2", {
        "style": Markup("\n" + custom_properties() + shipped("shop/index.css")),
        "script": script, "digest": source_of(script),
        "heads": HEADS, "count": f"{len(jobs)} job{'s' if len(jobs) != 1 else ''}", "check": check,
        "rows": [_row(job, places[job.file]) for job in by_number(jobs)],
    }).encode()


def _row(job: Job, folder: str) -> _Row:
    told = " ".join(filter(None, (job.date, f"rev {job.revision}" if job.revision else "")))
    links = tuple((quote(os.fsencode(PurePosixPath(folder) / name)), name)
                  for name in job.sheets if name.endswith((".pdf", ".html")))
    problems = tuple(text.split("\n")[0] for text in job.problems[:MOST_PROBLEMS])
    return _Row(job, _given(job.instrument, job.title), _given(job.customer, job.reference), told, links, problems)


def _given(*texts: str) -> tuple[str, ...]:
    return tuple(text for text in texts if text)
