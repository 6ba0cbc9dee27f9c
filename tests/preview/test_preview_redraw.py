"""What the preview draws is what ``print`` and ``check`` would say of the same file, whatever was drawn before."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from sampled import read_of

from diagramgen.analysis import examine
from diagramgen.features.preview import redraw as module
from diagramgen.features.preview.follow import Follower
from diagramgen.features.preview.redraw import Redraw
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.layout.global_routing.region_memo import RegionMemo
from diagramgen.layout.global_routing.route_leads import route_with_partners
from diagramgen.layout.plan import layout

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


@pytest.fixture
def build(tmp_path):
    return Path(shutil.copy(SAMPLES / "three-singles-lever.yaml", tmp_path / "my.yaml"))


def changed(build, old, new):
    text = build.read_text(encoding="utf-8")
    assert old in text
    build.write_text(text.replace(old, new), encoding="utf-8")


def drawn(redraw):
    return list(redraw.steps())


def test_the_diagram_comes_first_and_the_sounds_after_it(build):
    first, last = drawn(Redraw(build))
    assert first.solving
    assert first.drawn is not None
    assert first.sounds is None
    assert not last.solving
    assert last.good is last.drawn
    proof = examine(build)
    assert len(last.sounds.rows) == proof.chart.count == 5
    assert last.checksum == last.good.checksum == proof.checksum


@pytest.mark.parametrize("name", ["three-singles-lever", "wrong-on-purpose", "no-cavity", "two-pickups-toggle"])
def test_the_problems_are_those_of_check(tmp_path, name):
    for path in SAMPLES.glob("two-pickups-toggle*.yaml"):
        shutil.copy(path, tmp_path)
    build = Path(shutil.copy(SAMPLES / f"{name}.yaml", tmp_path / f"{name}.yaml"))
    *_, last = drawn(Redraw(build))
    assert last.problems == examine(build).problems


def test_with_errors_the_last_good_diagram_stays_and_is_no_more_the_drawn_one(build):
    redraw = Redraw(build)
    *_, good = drawn(redraw)
    changed(build, "volume.", "volme.")
    *_, wrong = drawn(redraw)
    assert wrong.errors
    assert wrong.good is good.good
    assert wrong.checksum != wrong.good.checksum
    assert wrong.sounds_of != wrong.checksum
    shutil.copy(SAMPLES / "three-singles-lever.yaml", build)
    *_, again = drawn(redraw)
    assert not again.errors
    assert again.good.markup == good.good.markup


@pytest.mark.parametrize("data", [b"", b"parts: {volume: [", b"\xff\xfe\x00", b"- 1\n- 2\n", b"&a [*a, *a]", None])
def test_a_half_saved_or_deleted_file_is_a_problem_and_no_more(build, data):
    redraw = Redraw(build)
    *_, good = drawn(redraw)
    build.unlink() if data is None else build.write_bytes(data)
    *_, wrong = drawn(redraw)
    assert wrong.errors
    assert wrong.good is good.good
    assert wrong.texts_old is (data is None)


def test_regions_in_which_nothing_changed_keep_their_routes_and_the_drawing_is_as_from_nothing():
    build = read_of("two-pickups-toggle").build
    laying = RegionMemo()
    first = layout(build, Diagnostics(), laying)
    assert laying.reused == 0
    again = layout(build, Diagnostics(), laying)
    assert laying.reused > 0
    assert first == again == layout(build, Diagnostics())


def test_what_hangs_and_what_stands_outside_is_placed_again_only_where_nothing_about_it_changed():
    path = SAMPLES / "two-pickups-toggle.yaml"
    build = examine(path, reading=True).build
    text = path.read_text(encoding="utf-8")
    laying = RegionMemo()
    layout(build, Diagnostics(), laying)
    assert laying.placements.reused == 0
    assert layout(build, Diagnostics(), laying) == layout(build, Diagnostics())
    assert laying.placements.reused > 0
    moved = examine(path, reading=True, data=text.replace("  volume", "  # moved\n  volume", 1).encode()).build
    assert layout(moved, Diagnostics(), laying) == layout(moved, Diagnostics())


def test_a_region_is_routed_anew_where_a_wish_between_two_leads_has_changed():
    build = read_of("two-pickups-toggle").build
    regions = []

    def noted(region, hints):
        regions.append((region, hints))
        return route_with_partners(region, hints)

    layout(build, Diagnostics(), noted)
    region, hints = max(regions, key=lambda pair: len(pair[0].nets))
    tags = sorted(net.subject for net in region.nets)
    laying = RegionMemo()
    laying(region, hints)
    apart = dict(hints) | {tags[0]: module.replace(hints[tags[0]], apart=(tags[1],))}
    assert laying(region, apart) == route_with_partners(region, apart)
    assert laying.reused == 0
    laying(region, hints)
    assert laying.reused == 1


def regions_routed(name):
    """Every region of a sample that is laid, with the wishes for it."""
    regions = []

    def noted(region, hints):
        regions.append((region, hints))
        return route_with_partners(region, hints)

    layout(read_of(name).build, Diagnostics(), noted)
    return regions


def narrow(region):
    """A region in which leads come so near one another that it is said, with their names."""
    wide = tuple(module.replace(net, width=5 * net.width) for net in region.nets)
    return module.replace(region, nets=wide, pins=tuple(
        t if t.body else module.replace(t, radius=9.0) for t in region.pins))


def called_otherwise(region, hints):
    """The region with other names for all its leads and their places in mouths, and the wishes for them."""
    new = {net.subject: f"X{i}" for i, net in enumerate(reversed(region.nets))}

    def other(word):
        head, _, tag = word.rpartition("/")
        return f"{head}/{new[tag]}" if tag in new else word

    nets = tuple(module.replace(net, subject=new[net.subject]) for net in region.nets)
    pins = tuple(t if t.body else module.replace(t, subject=other(t.subject)) for t in region.pins)
    wishes = {new[tag]: module.replace(wish, apart=tuple(new.get(t, t) for t in wish.apart),
                                       twisted=new.get(wish.twisted, wish.twisted))
              for tag, wish in hints.items() if tag in new}
    return module.replace(region, nets=nets, pins=pins), wishes


@pytest.mark.parametrize("name", ["two-pickups-toggle", "three-singles-lever", "left-handed"])
def test_regions_whose_leads_are_called_otherwise_keep_their_routes_and_say_the_new_names(name):
    said = set()
    for plain, hints in regions_routed(name):
        for region in (plain, narrow(plain)):
            laying = RegionMemo()
            assert laying(region, hints) == route_with_partners(region, hints)
            again, wishes = called_otherwise(region, hints)
            found = laying(again, wishes)
            assert laying.reused == 1
            assert found == route_with_partners(again, wishes)
            said |= {fault for route in found for fault in route.faults if " X" in fault or "/X" in fault}
    assert said  # else nothing was tried of what is said with names


def test_no_more_regions_are_kept_than_promised():
    build = read_of("three-singles-lever").build
    laying = RegionMemo(most=1)
    assert layout(build, Diagnostics(), laying) == layout(build, Diagnostics())
    assert len(laying._laid) == 1


def test_a_file_named_in_the_build_is_watched_even_before_it_is_there(build):
    changed(build, "shape: {rounded: [172, 62], corner: 14}", "shape: {svg: more.svg, width: 172}")
    redraw = Redraw(build)
    *_, last = drawn(redraw)
    assert "INP-022" in {p.code for p in last.problems}
    assert (build.parent / "more.svg").resolve() in redraw.files


def test_the_file_of_the_state_as_found_is_watched(tmp_path):
    for path in SAMPLES.glob("two-pickups-toggle*.yaml"):
        shutil.copy(path, tmp_path)
    redraw = Redraw(tmp_path / "two-pickups-toggle.yaml")
    next(redraw.steps())
    assert (tmp_path / "two-pickups-toggle-found.yaml").resolve() in redraw.files


def test_a_fault_of_the_program_is_shown_and_the_next_save_is_drawn(build, monkeypatch):
    shown = []
    follower = Follower(build, shown.append)
    follower.draw()
    with monkeypatch.context() as broken:
        broken.setattr(module, "laid_out", lambda *_: 1 / 0)
        follower.draw()
    assert "ZeroDivisionError" in shown[-1].fault
    assert shown[-1].good is not None
    follower.draw()
    assert shown[-1].fault == ""
    assert [s.count for s in shown] == [1, 1, 2, 3, 3]


def test_a_save_in_the_middle_of_a_drawing_drops_the_rest_of_it(build):
    shown = []

    def show(one):
        shown.append(one)
        if len(shown) == 1:
            changed(build, "format: 1", "format: 1 # saved again")

    follower = Follower(build, show)
    follower.draw()
    assert [s.solving for s in shown] == [True]
    while not follower._watch.due():
        pass
    follower.draw()
    assert shown[-1].texts[0][1] == tuple(build.read_text(encoding="utf-8").splitlines())
    assert not shown[-1].solving
