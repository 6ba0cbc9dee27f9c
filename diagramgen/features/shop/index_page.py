"""The index of the shop as one HTML page that needs nothing else: no network, no server, no other file but the sheets.

Every text of a job is escaped, and the page's own policy runs no script but its own. The page is whole without it: the
script only hides rows.
"""

from __future__ import annotations

import base64
import hashlib
import os
from collections.abc import Sequence
from html import escape
from pathlib import PurePosixPath
from urllib.parse import quote

from diagramgen.features.shop.index_sheet import by_number
from diagramgen.features.shop.jobs import Job
from diagramgen.kernel.tokens import custom_properties

STYLE = custom_properties() + """\
:root { color-scheme: light; }
body { font: 16px/1.45 system-ui, sans-serif; margin: 0; color: var(--ink); background: var(--paper); }
header { position: sticky; top: 0; padding: .8rem 1.2rem; }
header { background: var(--paper); border-bottom: 3px solid var(--accent); }
h1 { font-size: 1.3rem; margin: 0 0 .5rem; }
label { font-weight: 600; margin-right: .5rem; }
input { font: inherit; padding: .35rem .6rem; width: min(32rem, 90%); }
input { border: 1.5px solid var(--edge); border-radius: 4px; }
input:focus-visible, a:focus-visible { outline: 3px solid var(--accent); outline-offset: 2px; }
#count { margin: .4rem 0 0; color: var(--muted); }
a { color: var(--deep-accent); }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: .5rem .8rem; border-bottom: 1px solid var(--rule); }
thead th { background: var(--head); }
td small { color: var(--muted); }
tbody th { white-space: nowrap; }
main p { padding: 0 .8rem; }
.bad { color: var(--error-ink); font-weight: 600; }
details summary { cursor: pointer; }
[hidden] { display: none; }
@media print { header { position: static; } label, input, #count { display: none; } a { color: inherit; } }
"""
SCRIPT = """
(function () {
  var box = document.getElementById('search');
  var rows = Array.prototype.slice.call(document.querySelectorAll('tbody tr'));
  var texts = rows.map(function (row) { return row.textContent.toLowerCase(); });
  var count = document.getElementById('count');
  function show() {
    var words = box.value.toLowerCase().split(/\\s+/).filter(Boolean), n = 0;
    rows.forEach(function (row, i) {
      var fits = words.every(function (word) { return texts[i].indexOf(word) >= 0; });
      row.hidden = !fits;
      if (fits) { n += 1; }
    });
    count.textContent = n + ' of ' + rows.length + ' jobs';
  }
  box.addEventListener('input', show);
  box.closest('p').hidden = false;
  show();
})();
"""


def index_page(jobs: Sequence[Job], folders: Sequence[str], check: str) -> bytes:
    """The page; ``folders`` are those of the jobs' sheets, as seen from the page."""
    places = dict(zip((job.file for job in jobs), folders, strict=True))
    rows = "".join(_row(job, places[job.file]) for job in by_number(jobs))
    digest = base64.b64encode(hashlib.sha256(SCRIPT.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}'; base-uri 'none'"
    heads = "".join(f'<th scope="col">{head}</th>' for head in ("job", "instrument and work", "customer", "parts",
                                                                "sheets"))
    count = f"{len(jobs)} job{'s' if len(jobs) != 1 else ''}"
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n<title>Index of jobs</title>\n'
        f"<style>{STYLE}</style>\n</head>\n<body>\n<header>\n<h1>Index of jobs</h1>\n"
        '<p hidden><label for="search">Search</label>'
        '<input id="search" type="search" autocomplete="off" '
        'placeholder="number, instrument, part, customer, reference"></p>\n'
        f'<p id="count" role="status">{count}</p>\n</header>\n<main>\n<table>\n<thead><tr>{heads}</tr></thead>\n'
        f"<tbody>\n{rows}</tbody>\n</table>\n<p><small>file check {escape(check)}</small></p>\n</main>\n"
        f"<script>{SCRIPT}</script>\n</body>\n</html>\n").encode()


def _row(job: Job, folder: str) -> str:
    told = " ".join(filter(None, (job.date, f"rev {job.revision}" if job.revision else "")))
    cells = (
        f'<th scope="row">{escape(job.job or "no number")}</th>',
        f"<td>{_lines(job.instrument, job.title)}<br><small>{escape(told)}</small>{_history(job)}</td>",
        f"<td>{_lines(job.customer, job.reference)}</td>",
        f"<td>{_parts(job)}</td>",
        f"<td>{_sheets(job, folder)}<br><small>{escape(job.file)}</small></td>",
    )
    return f"<tr>{''.join(cells)}</tr>\n"


def _lines(*texts: str) -> str:
    return "<br>".join(escape(text) for text in texts if text)


def _parts(job: Job) -> str:
    if not job.parts:
        return ""
    items = "<br>".join(escape(part) for part in job.parts)
    names = escape(", ".join(job.names))
    return f"<details><summary>{len(job.parts)} kinds</summary>{items}<br><small>{names}</small></details>"


def _history(job: Job) -> str:
    if not job.history:
        return ""
    lines = "<br>".join(escape(line) for line in job.history)
    return f"<details><summary>revisions</summary><small>{lines}</small></details>"


def _sheets(job: Job, folder: str) -> str:
    if not job.printed:
        said = "<br>".join(escape(text.split("\n")[0]) for text in job.problems[:5])
        return f'<span class="bad">{escape(job.fate)}</span><br><small>{said}</small>'
    links = [f'<a href="{escape(quote(os.fsencode(PurePosixPath(folder) / name)))}">{escape(name)}</a>'
             for name in job.sheets if name.endswith((".pdf", ".html"))]
    warned = f'<br><span class="bad">{job.warnings} warnings</span>' if job.warnings else ""
    return " ".join(links) + warned
