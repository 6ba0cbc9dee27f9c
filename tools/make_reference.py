"""Writes what is made from declarations: docs/format.md, docs/sheets.md and samples/build.schema.json."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))


def main() -> None:
    """Write the three files."""
    from diagramgen.reader.reference import reference_text
    from diagramgen.reader.schema import NAME, schema_text
    from diagramgen.sheets.reference import reference_text as sheets_text

    (ROOT / "docs").mkdir(exist_ok=True)
    (ROOT / "docs" / "format.md").write_text(reference_text(), encoding="utf-8", newline="\n")
    (ROOT / "docs" / "sheets.md").write_text(sheets_text(), encoding="utf-8", newline="\n")
    (ROOT / "samples" / NAME).write_text(schema_text(), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
