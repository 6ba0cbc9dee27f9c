"""The printed diagram read back from its pixels: every lead followed from lug to lug as an eye would.

The tracer sees the picture pdfium makes of the PDF, and where the lugs are; what is expected comes from the build.
"""

from __future__ import annotations

import functools
from collections import Counter
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
from printed_samples import NAMES, SAMPLES
from tracer import Tracer

from diagramgen import pipeline
from diagramgen.drawing.diagram import Look
from diagramgen.layout.model import LaidLead, Layout
from diagramgen.sheets import diagrams
from diagramgen.sheets.paper import PAPERS
from diagramgen.writers.pdf import pdf_bytes

DPI = 400

LOST = {
    "baritone": {"W10", "J01", "W29", "W31", "bleed leg 2"},
    "bass-active": {"W02", "W03", "W04", "W06"},
    "left-handed": {"W05", "W07"},
    "two-pickups-toggle": {"W09", "W10"},
    "two-pickups-toggle-found": {"W09", "W10"},
}
"""Leads that the tracer does not find yet: never to grow, and to be taken out when found."""
MISREAD = {"baritone": 2, "bass-active": 3, "left-handed": 1}
"""Leads read where there are none, for the same reason: one of those above taken to a neighbouring lug."""


@functools.cache
def subject_of(name):
    return pipeline.subject_of(pipeline.examine(SAMPLES / f"{name}.yaml"))


def read_back(subject):
    """What is read from the one drawing of a build, and the drawing's layout, which the tracer never sees."""
    seen: list[Layout] = []
    draw = diagrams.draw

    def noting(layout, *others):
        seen.append(layout)
        return draw(layout, *others)

    diagrams.draw = noting
    try:
        sheet = (diagrams.whole_plan(subject, Look(), "full size") if subject.layout.to_scale
                 else diagrams.enlarged(subject, PAPERS["a4"])[0](1, 1))
    finally:
        diagrams.draw = draw
    page = pypdfium2.PdfDocument(pdf_bytes([sheet], "read back"))[0]
    picture = np.asarray(page.render(scale=DPI / 72).to_pil().convert("RGB"))
    lugs = {lug.key: (lug.at.x, lug.at.y) for part in seen[-1].parts.values() for lug in part.lugs.values()}
    pen = min(seen[-1].box.width / subject.layout.box.width, 1.4)
    return Counter((one.colour, one.ends) for one in Tracer(picture, DPI / 25.4, pen).read(lugs).leads)


def as_read(one: LaidLead):
    """Colour and lugs of a lead as a reading gives them."""
    lead = one.lead
    ends = sorted((str(lead.start), str(lead.end)))
    colour = {"leg": "leg", "bend": "leg", "bridge": "leg", "sleeved": "sleeve", "bare": "BARE"}.get(lead.kind)
    return colour or lead.colour.code.partition("/")[0], tuple(ends)


def wanted(subject):
    """Tag -> what is to be read, for every lead with a lug at both ends."""
    return {one.lead.tag: as_read(one) for one in subject.layout.leads if one.lead.start.known and one.lead.end.known}


@pytest.mark.parametrize("name", NAMES)
def test_leads_are_read_back_from_the_pixels_from_lug_to_lug(name):
    expected, found = wanted(subject_of(name)), read_back(subject_of(name))
    left, lost = found.copy(), set()
    for tag, lead in expected.items():
        if left[lead]:
            left[lead] -= 1
        else:
            lost.add(tag)
    assert lost == LOST.get(name, set()), "leads not found; take one out of LOST when it is found, never put one in"
    assert left.total() == MISREAD.get(name, 0), +left


def exchanged(subject, key):
    """A build drawn wrongly: two leads have one another's way or colour, the list says what it said."""
    first, second = [one for one in subject.layout.leads if one.lead.kind == "wire" and one.lead.colour][:2]
    swapped = {first.lead.tag: key(first, second), second.lead.tag: key(second, first)}
    leads = tuple(swapped.get(one.lead.tag, one) for one in subject.layout.leads)
    return replace(subject, layout=replace(subject.layout, leads=leads)), {first.lead.tag, second.lead.tag}


@pytest.mark.parametrize("key", [
    pytest.param(lambda one, other: replace(one, spans=other.spans), id="ways"),
    pytest.param(lambda one, other: replace(one, lead=replace(one.lead, colour=other.lead.colour)), id="colours"),
])
def test_two_leads_exchanged_in_the_drawing_are_told_from_the_list(key):
    subject = subject_of("one-volume")
    wrong, tags = exchanged(subject, key)
    found = read_back(wrong)
    assert {tag for tag, lead in wanted(subject).items() if not found[lead]} == tags
