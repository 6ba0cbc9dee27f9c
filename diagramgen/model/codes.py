"""Problem codes of what is named in several kinds of files."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Severity

INP_353 = Code(
    "INP-353", Severity.ERROR, "No output has the name given under `at`",
    text="An output is named by its jack, which stands for the tip, or as `jack.ring`.", was="R353")
