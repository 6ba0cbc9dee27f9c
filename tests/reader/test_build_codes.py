"""Nearly every code of the reader is shown by a faulty build of the tests."""

from __future__ import annotations

import re

from reading import ROOT

from diagramgen.kernel.codes import registry


def test_most_codes_are_shown_by_a_faulty_build() -> None:
    """Codes no file can show without a machine's help, and those said once a build was read, are named here."""
    without_a_file = {"INP-001", "INP-002", "INP-007", "INP-015", "INP-020", "INP-024", "INP-346", "INP-347"}
    shown: set[str] = set()
    for path in (ROOT / "tests" / "bad_builds").glob("*.txt"):
        shown |= set(re.findall(r" (INP-\d{3}): ", path.read_text(encoding="utf-8")))
    told = {code.id for code in registry().codes if code.id.startswith("INP-")}
    assert told - shown - without_a_file == set()
