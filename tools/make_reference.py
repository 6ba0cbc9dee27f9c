"""Writes what is made from the program's own tables.

From the build file's fields: docs/format.md and samples/build.schema.json. From the kinds of sheets: docs/sheets.md.
From the columns of CSV files: the lists of columns in the pages of ``TABLES``.
"""

from __future__ import annotations

import sys
from importlib import import_module
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))


TABLES = (
    ("lead-list.md", "leads.csv", "diagramgen.features.leadlist.export", "COLUMNS"),
    ("changes.md", "changes.csv", "diagramgen.features.changes.export", "COLUMNS"),
    ("prices.md", "buying.csv", "diagramgen.features.price.export", "BUYING_COLUMNS"),
    ("prices.md", "price.csv", "diagramgen.features.price.export", "BILL_COLUMNS"),
    ("labels.md", "labels.csv", "diagramgen.features.labels.sheet", "COLUMNS"),
)
"""Page of docs, file whose columns it lists, module and name they are declared under."""


def with_columns(page: str, text: str) -> str:
    """Put the lists of columns into a page of docs.

    Raises: ValueError where the page has no place for one of its lists.
    """
    from diagramgen.kernel.columns import column_reference

    for of, file, module, name in TABLES:
        if of == page:
            table = column_reference(getattr(import_module(module), name))
            before, begin, rest = text.partition(f"<!-- columns of {file} -->\n")
            _, end, after = rest.partition("<!-- end of columns -->\n")
            if not end:
                raise ValueError(f"docs/{page} has no place for the columns of {file}")
            text = f"{before}{begin}\n{table}\n{end}{after}"
    return text


def main() -> None:
    """Write all of them."""
    from diagramgen.reader.reference import reference_text
    from diagramgen.reader.schema import NAME, schema_text
    from diagramgen.sheets.reference import reference_text as sheets_text

    (ROOT / "docs").mkdir(exist_ok=True)
    (ROOT / "docs" / "format.md").write_text(reference_text(), encoding="utf-8", newline="\n")
    (ROOT / "docs" / "sheets.md").write_text(sheets_text(), encoding="utf-8", newline="\n")
    (ROOT / "samples" / NAME).write_text(schema_text(), encoding="utf-8", newline="\n")
    for page in dict.fromkeys(page for page, *_ in TABLES):
        path = ROOT / "docs" / page
        path.write_text(with_columns(page, path.read_text(encoding="utf-8")), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
