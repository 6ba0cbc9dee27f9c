"""What the audit finds on every good sample, on the full-size page and on the bench page, as printed."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from printed_samples import NAMES, printed

from diagramgen.drawing.audit import audit

KNOWN = {
    "baritone": {"D102": 3},
    "bass-active": {"D102": 2},
    "left-handed": {"D102": 3},
}
"""Labels on labels (D101) and on leads (D102) that there were when this was written; lower it, never raise it."""


def sheets(name):
    made = printed(name)
    for full_size in (True, False):
        if made.to_scale or not full_size:
            yield made.tagged(full_size)


@pytest.mark.parametrize("name", NAMES)
def test_no_lead_runs_over_a_foreign_lug_ends_beside_its_lug_leaves_its_cavity_or_lacks_its_tag(name):
    for layout, drawing in sheets(name):
        found = [f"{f.code} {f.message}" for f in audit(drawing, layout) if f.code not in ("D101", "D102")]
        assert found == []


@pytest.mark.parametrize("name", NAMES)
def test_labels_hide_no_more_than_they_did(name):
    for layout, drawing in sheets(name):
        found = [f for f in audit(drawing, layout) if f.code in ("D101", "D102")]
        count = Counter(f.code for f in found)
        allowed = KNOWN.get(name, {})
        assert all(n <= allowed.get(code, 0) for code, n in count.items()), [f.message for f in found]


def test_the_audit_sees_a_lead_that_is_moved_off_its_lugs():
    layout, drawing = printed("one-volume").tagged(True)
    first, second = layout.leads[0], layout.leads[1]
    swapped = replace(layout, leads=(replace(first, lead=second.lead), replace(second, lead=first.lead),
                                     *layout.leads[2:]))
    assert "D104" in {f.code for f in audit(drawing, swapped)}


def test_the_audit_sees_a_tag_that_is_missing_and_a_label_twice():
    layout, drawing = printed("one-volume").tagged(True)
    tag = next(one for one in drawing.labels if one.label.key.startswith("tag:"))
    without = tuple(one for one in drawing.labels if one.label.subject != tag.label.subject)
    assert "D106" in {f.code for f in audit(replace(drawing, labels=without), layout)}
    assert "D101" in {f.code for f in audit(replace(drawing, labels=(*drawing.labels, drawing.labels[0])), layout)}
