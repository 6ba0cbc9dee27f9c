"""The lead list: cut lengths and joints."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.sheet_kind import Pictures, PrintJob, SheetKind

if TYPE_CHECKING:
    from diagramgen.sheets.context import SheetMaker


def leads(job: PrintJob) -> list[SheetMaker]:
    """Every lead in the order of work."""
    from diagramgen.features.leadlist.sheet import lead_sheets

    return lead_sheets(job.analysis.rows, job.context, job.paper, job.only("leads", "proof", "test", "packet"))


def export(job: PrintJob) -> dict[str, bytes]:
    """The list as CSV and JSON."""
    from diagramgen.features.leadlist.export import leads_csv, leads_json
    from diagramgen.job.lead_list import joints, wire_totals

    analysis, build = job.analysis, job.context.layout.build
    listed = leads_json(analysis.rows, wire_totals(analysis.rows), joints(build), analysis.checksum, build.unread)
    return {"leads.csv": leads_csv(analysis.rows, analysis.checksum, build.unread).encode(),
            "leads.json": listed.encode()}


KIND = SheetKind("leads", "Lead list", 160, leads, "cut lengths, joints", default=True, pictures=Pictures.PNG,
                 own_pdf=True, rows=True, export=export)
