"""Writes docs/problems.md from the declarations of the problem codes."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))


def main() -> None:
    """Write the page."""
    from diagramgen.features.meaning.page import problems_page
    from diagramgen.kernel.codes import registry

    (ROOT / "docs" / "problems.md").write_text(problems_page(registry()), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
