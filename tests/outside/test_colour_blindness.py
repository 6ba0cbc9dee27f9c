"""Lead colours as a colour-blind eye or a grey print has them, and what tells them apart then.

Matrices of "A Physiologically-based Model for Simulation of Color Vision Deficiency" (2009; figures only, licence not
told), severity 1.0, by an independent colour library (coloraide, MIT).
"""

from __future__ import annotations

import itertools
from dataclasses import replace
from itertools import pairwise

import pytest
from coloraide import Color
from printed_samples import NAMES, printed

from diagramgen.drawing.lightness import contrast, lightness
from diagramgen.drawing.scene import Role
from diagramgen.drawing.strokes import lead_marks
from diagramgen.drawing.style import SHADES, stripe_end, stripe_shade, style_of
from diagramgen.kernel.colours import WORDS
from diagramgen.kernel.geometry import Point, polyline

PLAIN = [code for code in sorted(SHADES) if code != "GNYE"]
ALIKE = 12.0
"""CIEDE2000 below which two shades count as alike: the figure asked of them for full colour vision (our own figure;
about 1 is just noticed side by side, which is from memory, and leads do not lie side by side)."""
PAIRS = {
    "protan": "BN-RD BU-VT GD-OG SR-TQ PK-TQ GN-OG PK-SR GD-GN GY-TQ",
    "deutan": "GD-OG BU-VT PK-SR GN-RD GY-TQ BN-GN SR-TQ BN-RD OG-YE PK-TQ",
    "tritan": "BARE-GD BARE-YE BARE-PK GD-PK GD-OG GD-YE OG-PK",
}
"""What became alike when last measured: looked through, and left to the colour words."""


def as_seen(shade, how):
    if how == "grey":
        level = Color(shade).luminance()
        return Color("xyz-d65", [level * white for white in (0.95047, 1.0, 1.08883)])
    return Color(shade).filter(how, 1.0, method="machado", out_space="srgb").clip()


def alike(how):
    seen = {code: as_seen(SHADES[code].body, how) for code in PLAIN}
    return {(a, b) for a, b in itertools.combinations(PLAIN, 2) if seen[a].delta_e(seen[b], method="2000") < ALIKE}


def test_the_library_uses_the_published_matrix():
    """First column of the protan matrix at 1.0: table 1 of the article named above (from memory)."""
    red = Color("srgb-linear", [1, 0, 0]).filter("protan", 1.0, method="machado", out_space="srgb-linear")
    assert red.coords() == pytest.approx([0.152286, 0.114503, -0.003882], abs=1e-5)


@pytest.mark.parametrize("how", PAIRS)
def test_the_pairs_that_become_alike_are_those_looked_through(how):
    near = {tuple(sorted(pair.split("-"))) for pair in PAIRS[how].split()}
    assert alike(how) ^ near <= {("GY", "TQ")}, "GY and TQ stand at the limit for a protan eye"


def test_grey_leaves_many_pairs_alike_so_that_only_words_tell_them_apart():
    assert {("BU", "VT"), ("GN", "GY"), ("BN", "RD")} <= alike("grey")


@pytest.mark.parametrize("name", NAMES)
def test_every_lead_bears_tag_and_colour_word_at_both_ends_of_every_diagram(name):
    made = printed(name)
    for full_size in (True, False) if made.to_scale else (False,):
        layout, drawing = made.tagged(full_size)
        assert untold(layout, drawing.labels) == []


def untold(layout, labels):
    """Ends of coloured leads at which tag and colour word do not stand; a lead too short for two bears one."""
    words = {one.label.key: one.label for one in labels}
    widest = max((one.label.size[0] for one in labels if one.label.key.startswith("tag:")), default=0.0)
    found = []
    for laid in layout.leads:
        lead = laid.lead
        if lead.colour is None or lead.kind in ("leg", "bend", "bridge"):
            continue
        length = sum(a.distance(b) for a, b in pairwise(laid.path.flat(0.1)))
        own = words.get(f"tag:{lead.tag}:start")
        ends = ["start", "end"] if length > 2 * (own.size[0] if own else widest) + 4 else ["start"]
        for end in ends:
            said = words.get(f"tag:{lead.tag}:{end}")
            if said is None or said.lines[0].text != f"{lead.tag} {lead.colour.short}":
                found.append(f"{lead.tag} {end}")
    return found


def test_a_code_or_a_colour_word_taken_away_at_either_end_is_missed():
    """The check above would see it: each label of two samples in turn, left out, without its word, with another's."""
    for name in ("one-volume", "left-handed"):
        layout, drawing = printed(name).tagged(True)
        labels = list(drawing.labels)
        tags = [i for i, one in enumerate(labels) if one.label.key.startswith("tag:") and " " in
                one.label.lines[0].text]
        assert len(tags) > 8
        for i in tags:
            label = labels[i].label
            end = " ".join(label.key.split(":")[1:])
            tag = label.lines[0].text.split(" ")[0]
            assert untold(layout, labels[:i] + labels[i + 1:]) == [end]
            for words in (tag, f"{tag} pnk"):
                line = replace(label.lines[0], text=words)
                changed = replace(labels[i], label=replace(label, lines=(line, *label.lines[1:])))
                # A shorter label may leave room for one at the other end, which is then missed as well.
                assert end in untold(layout, [*labels[:i], changed, *labels[i + 1:]])
        assert len(untold(layout, [])) >= len(tags) - 1


def striped():
    return [f"{a}/{b}" for a, b in itertools.permutations([c for c in PLAIN if c != "BARE"], 2)] + ["GNYE"]


def test_no_two_colours_have_one_short_word():
    assert len({short for _, short in WORDS.values()}) == len(WORDS)


@pytest.mark.parametrize("code", striped())
def test_a_stripe_is_seen_in_grey_by_its_shade_or_by_the_line_at_its_end(code):
    base, stripe = SHADES[code.partition("/")[0]].body, stripe_shade(code)
    end = stripe_end(code)
    marks = lead_marks(polyline([Point(0, 0), Point(10, 0)]), code)
    if end:
        assert min(contrast(end, base), contrast(end, stripe)) >= 3
        drawn = [m.role for m in marks]
        assert drawn.index(Role.LEAD_STRIPE_END) == drawn.index(Role.LEAD_STRIPE) - 1
        long, gap = (sum(style_of(role, colour=code).dash) for role in (Role.LEAD_STRIPE_END, Role.LEAD_STRIPE))
        assert long == pytest.approx(gap), "both dashes keep step"
    else:
        assert abs(lightness(base) - lightness(stripe)) >= 20
