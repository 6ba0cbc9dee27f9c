"""The printed diagram read back from its pixels: every lead followed from lug to lug as an eye would.

The tracer sees the picture pdfium makes of the PDF, and where the lugs are; what is expected comes from the build.
"""

from __future__ import annotations

import functools
import math
from collections import Counter
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
from printed_samples import NAMES
from sampled import proof_of
from trace_looks import IN_GREY
from tracer import Tracer

from diagramgen.drawing.diagram import Look
from diagramgen.features.diagrams import sheet as diagrams
from diagramgen.kernel.paper import PAPERS
from diagramgen.layout.model import LaidLead, Layout
from diagramgen.sheets.context import context_of
from diagramgen.writers.pdf import pdf_bytes

DPI = 400
STACKED = 1.0
"""Lugs nearer than this in plan lie behind one another, mm: their eyelets are drawn on one spot."""


@functools.cache
def context_named(name):
    return context_of(proof_of(name))


def lug_places(layout):
    """Every lug, and the places on the rims of cases where bent lugs come down."""
    places = {lug.key: (lug.at.x, lug.at.y) for part in layout.parts.values() for lug in part.lugs.values()}
    bent = (one for one in layout.leads if one.lead.kind == "bend")
    return places | {f"{one.lead.end} beside {one.lead.start.lug}": (one.path.end.x, one.path.end.y) for one in bent}


def behind_one_another(layout):
    """Lug -> the first of the lugs at its place, where lugs of one part lie behind one another in plan.

    From the plan alone nobody can tell which of them a lead goes to; the folded-out detail says it.
    """
    result, first = {}, {}
    for key, at in sorted(lug_places(layout).items()):
        part = key.partition(".")[0]
        home = next((k for k, o in first.items() if k.partition(".")[0] == part and math.dist(at, o) < STACKED), None)
        if home:
            result[key] = home
        else:
            first[key] = at
    return result


def read_back(subject, grey=False):
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
    behind, lugs = behind_one_another(seen[-1]), lug_places(seen[-1])
    lugs = {key: at for key, at in lugs.items() if key not in behind}
    pen = min(seen[-1].box.width / subject.layout.box.width, 1.4)
    return Counter((one.colour, one.ends) for one in Tracer(picture, DPI / 25.4, pen, grey).read(lugs).leads)


def shaded(leads):
    """The leads with the shade that a grey print gives in place of the colour."""
    shade = {code: first for first, alike in IN_GREY.items() for code in alike}
    result = Counter()
    for (colour, ends), count in leads.items():
        result[shade.get(colour, colour), ends] += count
    return result


def as_read(one: LaidLead, behind):
    """Colour and lugs of a lead as a reading gives them."""
    lead = one.lead
    bent = lead.kind == "bend"
    ends = sorted(behind.get(end, end) for end in (str(lead.start), f"{lead.end} beside {lead.start.lug}" if bent else
                                                   str(lead.end)))
    colour = {"leg": "leg", "bend": "leg", "bridge": "leg", "sleeved": "sleeve", "bare": "BARE"}.get(lead.kind)
    return colour or lead.colour.code.partition("/")[0], tuple(ends)


def wanted(subject):
    """Tag -> what is to be read, for every lead with a lug at both ends."""
    behind = behind_one_another(subject.layout)
    read = {one.lead.tag: as_read(one, behind) for one in subject.layout.leads
            if one.lead.start.known and one.lead.end.known}
    return {tag: (colour, ends) for tag, (colour, ends) in read.items() if ends[0] != ends[1]}


@pytest.mark.parametrize("name", NAMES)
def test_every_lead_is_read_back_from_the_pixels_from_lug_to_lug(name):
    """Every lead of the list is found in the picture, and no lead that is not in the list."""
    expected, found = Counter(wanted(context_named(name)).values()), read_back(context_named(name))
    assert not expected - found, "leads nobody could follow"
    assert not found - expected, "leads read that are not there"


def test_a_grey_print_is_read_back_from_lug_to_lug():
    """Every lead is found by its shade: which of several alike colours it is stands in its tags.

    ``benchmarks/read_back.py`` says the figure for every sample.
    """
    subject = context_named("no-cavity")
    expected, found = shaded(Counter(wanted(subject).values())), read_back(subject, grey=True)
    assert expected.total() >= 9
    assert not expected - found, "leads nobody could follow"
    assert not found - expected, "leads read that are not there"


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
    subject = context_named("one-volume")
    wrong, tags = exchanged(subject, key)
    found = read_back(wrong)
    assert {tag for tag, lead in wanted(subject).items() if not found[lead]} == tags
