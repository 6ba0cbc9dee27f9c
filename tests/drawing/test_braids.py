"""Where the braid of a shielded lead is drawn to its lug."""

from __future__ import annotations

import pytest
from sampled import proof_of
from shapely import LineString

from diagramgen.drawing.braids import SHORT, tails
from diagramgen.drawing.view import seen
from diagramgen.kernel.geometry import scaled


@pytest.mark.parametrize("scale", [1.0, 1.4, 2.0])
def test_a_braid_crosses_no_short_lead_of_others_on_an_enlarged_page_either(scale: float) -> None:
    """Over a solder bridge of two hot lugs it would seem joined to them."""
    proof = proof_of("baritone")
    assert proof.layout is not None
    layout = seen(proof.layout, scaled(scale))
    short = [one for one in layout.leads if one.path.length() <= SHORT * scale]
    assert any(one.lead.tag == "J01" for one in short)
    ways = list(tails(layout))
    assert len(ways) > 3
    for laid, end, way in ways:
        for one in short:
            ends = {str(one.lead.start), str(one.lead.end)}
            if one.lead.tag != laid.lead.tag and str(end) not in ends:
                assert not LineString(way.flat(0.1)).crosses(LineString(one.path.flat(0.1))), (laid.lead.tag, one.lead)
