"""Tags of the lead list and of the drawing: each is at both ends of its lead, or the list says that it has none."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from sampled import proof_of

from diagramgen.drawing.scene import Role, Text, walk
from diagramgen.features.diagrams import sheet as diagrams
from diagramgen.features.leadlist.sheet import UNTAGGED, lead_sheets
from diagramgen.kernel.paper import PAPERS
from diagramgen.sheets.context import context_of

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
NAMES = ["baritone", "one-volume", "two-pickups-toggle", "left-handed", "holes-in-top", "no-cavity"]


@pytest.mark.parametrize("name", NAMES)
def test_a_tag_stands_on_the_drawing_or_the_list_says_that_it_does_not(name):
    proof = proof_of(name)
    subject, paper = context_of(proof), PAPERS["a3"]
    makers = diagrams.full_size(subject, paper) if subject.layout.to_scale else diagrams.enlarged(subject, paper)
    drawn = Counter(m.text.split(" ")[0] for make in makers for m in walk(make(1, 1))
                    if isinstance(m, Text) and m.role == Role.TAG_TEXT)
    listed = [m.text for make in lead_sheets(proof.rows, subject, paper) for m in walk(make(1, 1))
              if isinstance(m, Text)]
    bare = [row for row in proof.rows if row.kind in ("leg", "bend", "bridge")]
    assert " ".join(listed).count(UNTAGGED) == len(bare)
    for row in proof.rows:
        assert (drawn[row.tag] == 0) == (row in bare), row.tag
