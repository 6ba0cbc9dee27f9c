"""Labels as files: sheets, the list of what stands where, the page to line the sheet up by."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from diagramgen.features.labels.compute import LabelWords
from diagramgen.features.labels.sheet import LabelRun, alignment_sheet, labels_csv, laid_labels
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.writers.pdf import pdf_bytes
from diagramgen.writers.svg import svg_bytes


def label_files(
    labels: Sequence[LabelWords], run: LabelRun, say: Diagnostics, lettering: str = "font"
) -> dict[str, bytes]:
    """Label sheets by name, the list of what stands where, and the page to line the sheet up by (none for tape).

    Nothing where a problem found on the way is an error.
    """
    drawn: Literal["font", "outline"] = "outline" if lettering == "outline" else "font"
    sheets, laid = laid_labels(labels, run, say)
    if say.has_errors or not sheets:
        return {}
    files = {f"labels-{i}.svg": svg_bytes(sheet, drawn) for i, sheet in enumerate(sheets, 1)}
    files["labels.pdf"] = pdf_bytes(sheets, f"{run.job} labels".strip(), subject="labels")
    files["labels.csv"] = labels_csv(laid, run.checksum).encode()
    if not run.sheet.tape:
        lining = alignment_sheet(run)
        files["alignment.svg"] = svg_bytes(lining, drawn)
        files["alignment.pdf"] = pdf_bytes([lining], lining.title, subject="labels")
    return files
