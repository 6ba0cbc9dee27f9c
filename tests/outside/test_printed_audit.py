"""What the audit finds on every good sample, on the full-size page and on the bench page, as printed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from printed_samples import NAMES, printed

from diagramgen.drawing.audit import audit


def sheets(name):
    made = printed(name)
    for full_size in (True, False):
        if made.to_scale or not full_size:
            yield made.tagged(full_size)


@pytest.mark.parametrize("name", NAMES)
def test_the_audit_finds_nothing_on_any_sheet(name):
    """Labels on labels, leads and lugs; leads on leads and foreign lugs, off their own; tags missing; contrast."""
    for layout, drawing in sheets(name):
        assert [f"{f.code.id} {f.message}" for f in audit(drawing, layout)] == []


def test_the_audit_sees_a_lead_that_is_moved_off_its_lugs():
    layout, drawing = printed("one-volume").tagged(True)
    first, second = layout.leads[0], layout.leads[1]
    swapped = replace(layout, leads=(replace(first, lead=second.lead), replace(second, lead=first.lead),
                                     *layout.leads[2:]))
    assert "DRW-104" in {f.code.id for f in audit(drawing, swapped)}


def test_the_audit_sees_a_tag_that_is_missing_and_a_label_twice():
    layout, drawing = printed("one-volume").tagged(True)
    tag = next(one for one in drawing.labels if one.label.key.startswith("tag:"))
    without = tuple(one for one in drawing.labels if one.label.subject != tag.label.subject)
    assert "DRW-106" in {f.code.id for f in audit(replace(drawing, labels=without), layout)}
    assert "DRW-101" in {f.code.id for f in audit(replace(drawing, labels=(*drawing.labels, drawing.labels[0])),
                                                  layout)}
