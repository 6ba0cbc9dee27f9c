"""What is labelled, in which words: both ends, where each goes, shortened only where two ends stay apart."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from sampled import read_of

from diagramgen.analysis import examine
from diagramgen.features.labels.compute import (
    Shortener,
    bag_labels,
    cable_labels,
    check_pinned,
    labelled_leads,
    lead_labels,
    part_labels,
)
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
NAMES = [p.stem for p in sorted(SAMPLES.glob("*.yaml")) if p.stem != "wrong-on-purpose"]


@cache
def build(name):
    return read_of(name).build


def from_text(tmp_path, text, name="b.yaml"):
    file = tmp_path / name
    file.write_text(text, encoding="utf-8")
    return examine(file, reading=True).build


def test_each_end_says_the_lug_it_belongs_to_and_where_the_lead_goes():
    found = [label for label in lead_labels(build("one-volume")) if label.tag == "W03"]
    assert [(label.head, label.bodies[0]) for label in found] == [
        ("W03 red", ("at Volume wiper", "to Output tip")),
        ("W03 red", ("at Output tip", "to Volume wiper")),
    ]


def test_a_pickups_own_conductor_has_one_free_end_and_one_label():
    found = [label for label in lead_labels(build("one-volume")) if label.tag == "W01"]
    assert [label.bodies[0] for label in found] == [("at Volume 10", "from Pickup finish")]


def test_every_wire_of_every_sample_has_its_labels_and_nothing_else_has_any():
    for name in NAMES:
        b = build(name)
        wires = {lead.tag for lead in b.leads if lead.is_wire and not lead.bus}
        tags = {label.tag for label in lead_labels(b)}
        both_inside = {
            lead.tag for lead in b.leads
            if all(label.tag != lead.tag for label in lead_labels(b)) and lead.tag in wires
        }  # fmt: skip
        assert tags | both_inside == wires
        for lead in b.leads:
            if lead.tag in both_inside:
                kinds = [b.parts[e.part].symbol.drawing.lugs for e in (lead.start, lead.end)]
                assert all(any(p.kind == "conductor" for p in patterns) for patterns in kinds)


def test_words_are_shortened_as_the_trade_does():
    shorter = Shortener(build("two-pickups-toggle"))
    assert shorter("Selector up centre") == "Sel up ctr"
    assert shorter("Output sleeve") == "Out slv"


def test_no_two_ends_of_a_build_are_shortened_to_the_same_words(tmp_path):
    for name in NAMES:
        b, shorter = build(name), Shortener(build(name))
        words = {label.bodies[0][0].removeprefix("at ") for label in lead_labels(b)}
        assert len({shorter(word) for word in words}) == len(words)
    two = from_text(tmp_path, """format: 1
parts:
  vol: {symbol: pot-24, value: 250k log}
  volume: {symbol: pot-24, value: 250k log}
  output: jack-mono-open
leads:
  - vol.wiper -> output.tip
  - volume.wiper -> output.sleeve
""")
    shorter = Shortener(two)
    assert shorter("Volume wiper") == "Volume wiper"
    assert shorter("Vol wiper") == "Vol wiper"


def test_the_last_wording_is_the_tag_and_colour_alone_and_none_repeats():
    for label in lead_labels(build("baritone")):
        assert label.bodies[-1] == ()
        assert len(set(label.bodies)) == len(label.bodies)


def test_a_part_called_by_many_words_is_named_as_in_the_file_before_its_place_is_left_out(tmp_path):
    text = (SAMPLES / "one-volume.yaml").read_text(encoding="utf-8")
    b = from_text(tmp_path, text.replace("output: jack-mono-open, through jack",
                                         "output: {symbol: jack-mono-open, through: jack, says: hole for the plug}"))
    label = next(label for label in lead_labels(b) if label.tag == "W03")
    assert label.bodies[0] == ("at Volume wiper", "to Hole for the plug tip")
    assert label.bodies[-2:] == (("to output tip",), ())
    part = next(label for label in part_labels(b) if label.tag == "output")
    assert (part.head, part.other_head) == ("Hole for the plug", "output")


def test_a_cable_is_labelled_with_the_tags_of_its_conductors_at_both_ends_a_pickups_at_its_one():
    found = cable_labels(build("two-pickups-toggle"))
    assert [label.tag for label in found] == ["toggle-cable", "toggle-cable", "neck", "bridge"]
    assert found[0].bodies[0] == ("W07 W08 W10 W11",)
    assert found[0].diameter == 4.5


def test_a_lead_whose_end_nobody_knows_or_that_is_parked_says_so(tmp_path):
    b = from_text(tmp_path, """format: 1
parts:
  volume: {symbol: pot-24, value: 250k log}
  pickup: {symbol: single-coil, colours: {finish: white, start: black}}
leads:
  - volume.wiper -> unknown, red
  - pickup.finish -> parked
""")
    said = {label.head: label.bodies[0] for label in lead_labels(b)}
    assert said["W01 red"] in (("at not known yet", "to Volume wiper"), ("at Volume wiper", "to not known yet"))
    assert said["W02 wht"] == ("at capped and parked", "from Pickup finish")


def test_a_part_says_its_values_and_the_job_a_bag_that_it_is_handed_back():
    volume = next(label for label in part_labels(build("one-volume")) if label.tag == "volume")
    assert (volume.head, volume.bodies[0]) == ("Volume", ("pot-24, 250k log", "LL-1107"))


def test_how_a_coil_was_metered_is_left_out_of_its_name():
    neck = next(label for label in part_labels(build("two-pickups-toggle")) if label.tag == "neck")
    assert neck.bodies[0][0] == "dual-coil, 3.9k 4k"


def test_a_bag_is_made_for_each_part_that_went_and_none_for_one_that_stays(tmp_path):
    text = (SAMPLES / "one-volume.yaml").read_text(encoding="utf-8")
    left = from_text(tmp_path, text.replace("pot-24, 250k log", "pot-16, 250k log"))
    bags = bag_labels(build("one-volume"), left)
    assert [label.tag for label in bags] == ["volume"]
    assert bags[0].bodies[0][:3] == ("old part, handed back", "pot-24, 250k log", "job LL-1107")


def test_tags_that_do_not_stand_in_the_file_are_an_error_unless_they_are_taken_all_the_same():
    b = build("one-volume")
    for insist, severity in ((True, Severity.ERROR), (False, Severity.WARNING)):
        say = Diagnostics()
        check_pinned(labelled_leads(b), say, insist)
        (problem,) = say
        assert (problem.code, problem.severity) == ("LAB-401", severity)
        assert "5 of 5 leads" in problem.message
        assert "W03 (line 30)" in problem.message
        assert "--pin" in problem.remedy


def test_a_pinned_lead_is_not_spoken_of(tmp_path):
    text = (SAMPLES / "one-volume.yaml").read_text(encoding="utf-8")
    b = from_text(tmp_path, text.replace("volume.wiper -> output.tip, red", "volume.wiper -> output.tip, red, tag W03"))
    say = Diagnostics()
    check_pinned(labelled_leads(b, ("W03",)), say)
    assert list(say) == []
