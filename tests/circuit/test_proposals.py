"""What a proposal for a wiring may not do, and when none is made. Each fault is put into a sound build by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from circuits import built, readable, sample
from click.testing import CliRunner

from diagramgen.app.main import group
from diagramgen.circuit.nets import connect
from diagramgen.circuit.proof import complaints, prove, remedy
from diagramgen.circuit.repair.coil_paths import loud, ways
from diagramgen.circuit.repair.forbidden import Rules, Standing
from diagramgen.circuit.repair.ranking import Likely
from diagramgen.circuit.repair.search import Change, applied, changes, leads_more, lug_nets
from diagramgen.circuit.rules.knobs import takes
from diagramgen.circuit.state_table import state_table
from diagramgen.circuit.states import state_space
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.model.build import Build, End, Lead

SAMPLES = Path(__file__).resolve().parent.parent.parent / "samples"
READABLE = [path for path in sorted(SAMPLES.glob("*.yaml")) if readable(path)]

PLAIN = """
format: 1
parts:
  neck: {symbol: dual-coil-braided, value: 4k0 4k0, values: {a-kick: plus}}
  bridge: single-coil-cover-tag, 6k2
  selector: toggle-short
  volume: pot-24, 500k log
  tone: pot-24, 500k log
  cap: capacitor-film, 22n, between tone.zero and tone.case
  output: jack-mono-open
  strings: bridge-ground
leads:
  - neck.hot -> selector.up
  - neck.braid -> volume.case
  - bridge.finish -> selector.down
  - bridge.start -> volume.case
  - bridge.cover -> volume.case
  - selector.common -> volume.ten, white
  - selector.frame -> volume.case, black
  - volume.zero -> volume.case, bend
  - volume.ten -> tone.wiper, green
  - volume.wiper -> output.tip, red
  - volume.case -> tone.case, bare
  - tone.case -> output.sleeve, black
  - strings.ground -> tone.case, black
wanted:
  - {when: {selector: up}, sounds: neck.a + neck.b}
  - {when: {selector: down}, sounds: bridge}
"""
LEADS = [line.removeprefix("  - ").split(",")[0] for line in PLAIN.splitlines() if " -> " in line]
HONEST = ["volume.ten -> tone.wiper"]
"""Leads of ``PLAIN`` for which two would do: a tone works on either side of a volume at 10."""


def without(made: Build, *gone: str) -> Build:
    return replace(made, leads=tuple(x for x in made.leads if f"{x.start} -> {x.end}" not in gone))


def plus(made: Build, text: str) -> Change:
    """The change that adds a lead, written ``part.lug -> part.lug``."""
    ends = [End(*lug.split("."), made.leads[0].place) for lug in text.split(" -> ")]
    new = replace(made.leads[0], tag="new", start=ends[0], end=ends[1], kind="wire", cable="", colour=None)
    return Change(text, (*made.leads, new), "add")


def moved(made: Build, text: str, to: str) -> Change:
    """The change that moves the end of a lead (its second lug)."""
    def put(lead: Lead) -> Lead:
        mine = f"{lead.start} -> {lead.end}" == text
        return replace(lead, end=End(*to.split("."), lead.place)) if mine else lead

    return Change(f"{text} to {to}", tuple(put(lead) for lead in made.leads), "move")


def verdict(broken: Build, change: Change) -> str:
    """The rule that a change breaks; '' where it breaks none."""
    states = state_space(broken, all_plugs=True)
    rules = Rules(broken, states, range(states.count), complaints)
    after = applied(broken, change)
    graph = connect(after)
    stands = rules.harm(after, graph) or rules.stands(after, graph)
    return "" if isinstance(stands, Standing) else stands


@pytest.mark.parametrize("lead", [lead for lead in LEADS if lead not in HONEST])
def test_a_missing_lead_is_answered_by_that_lead(lead: str) -> None:
    made = built(PLAIN)
    found = remedy(without(made, lead))
    assert found is not None
    assert found.change is not None, found
    assert found.change.kind == "add"
    assert lug_nets(connect(applied(without(made, lead), found.change))) == lug_nets(connect(made))


@pytest.mark.parametrize("name", ["two-pickups-toggle.yaml", "holes-in-top.yaml", "one-volume.yaml"])
def test_every_lead_left_out_of_a_sample_is_put_back(name: str) -> None:
    made = sample(SAMPLES / name)
    for n, lead in enumerate(made.leads):
        broken = replace(made, leads=made.leads[:n] + made.leads[n + 1 :])
        found = remedy(broken)
        assert found is not None, f"{lead.start} -> {lead.end}"
        assert found.change is not None, f"{lead.start} -> {lead.end}"
        assert lug_nets(connect(applied(broken, found.change))) == lug_nets(connect(made))


def test_a_missing_tone_lead_is_not_guessed_as_it_may_lie_on_either_side_of_the_volume() -> None:
    found = remedy(without(built(PLAIN), *HONEST))
    assert found is not None
    assert found.change is None
    assert len(found.rivals) == 2
    assert all("tone.wiper" in change.words for change in found.rivals)
    assert "nothing tells which of these was meant" in found.guess
    assert "; or add a lead from tone.wiper to " in found.guess


def test_a_tone_wired_like_its_twin_is_put_back_like_it() -> None:
    made = built(PLAIN.replace("  output:", "  other: pot-24, 500k log\n  other-cap: capacitor-film, 22n, "
                               "between other.zero and other.case\n  output:")
                 .replace("  - volume.wiper ->", "  - volume.ten -> other.wiper\n  - other.case -> tone.case\n"
                          "  - volume.wiper ->"))
    found = remedy(without(made, *HONEST))
    assert found is not None
    assert found.change is not None
    assert lug_nets(connect(applied(without(made, *HONEST), found.change))) == lug_nets(connect(made))


def test_equally_good_changes_are_named_and_none_is_proposed() -> None:
    """Both ends of a pickup on ground: either may be the one that was moved there."""
    text = """
format: 1
parts:
  one: {symbol: dual-coil, value: 4k 4k}
  volume: pot-24, 500k log
  output: jack-mono-open
  strings: bridge-ground
leads:
  - one.a start -> volume.case
  - one.a finish -> one.b finish
  - one.b start -> volume.case
  - one.bare -> volume.case
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip
  - volume.case -> output.sleeve
  - strings.ground -> volume.case
wanted:
  - {when: {output: mono}, sounds: one.a + one.b, phase: in}
"""
    found = remedy(built(text))
    assert found is not None
    assert found.change is None
    assert found.text.startswith("Two changes would make every wanted sound true, and nothing tells which was meant: ")
    say = Diagnostics()
    prove(built(text), say, mend=True)
    assert found.text in {p.remedy for p in say}


BYPASSED = ["neck.hot -> output.tip", "selector.common -> output.tip", "volume.ten -> output.tip"]


@pytest.mark.parametrize("lead", BYPASSED)
def test_a_volume_is_never_bypassed(lead: str) -> None:
    broken = without(built(PLAIN), "volume.wiper -> output.tip")
    assert verdict(broken, plus(broken, lead)) != ""
    assert verdict(broken, plus(broken, "volume.wiper -> output.tip")) == ""


def test_a_coil_that_passed_its_volume_never_passes_it_by() -> None:
    made = built(PLAIN)
    broken = without(made, "bridge.finish -> selector.down")
    worse = moved(broken, "neck.hot -> selector.up", "volume.wiper")
    both = Change("", (*worse.leads, plus(broken, "bridge.finish -> selector.down").leads[-1]))
    assert verdict(broken, both) != ""


def test_a_pot_is_never_made_a_rheostat() -> None:
    broken = without(built(PLAIN), "volume.wiper -> output.tip")
    joined = Change("", (*plus(broken, "volume.wiper -> output.tip").leads,
                         plus(broken, "volume.ten -> volume.wiper").leads[-1]))
    assert verdict(broken, joined) == "volume.wiper and volume.ten are joined"


def test_a_coil_never_plays_through_the_track_of_a_pot() -> None:
    text = PLAIN.replace("  - volume.zero -> volume.case, bend\n", "")
    broken = built(text.replace("volume.ten, white", "volume.case, white"))
    assert "plays through a track" in verdict(broken, moved(broken, "selector.common -> volume.case", "volume.zero"))


@pytest.mark.parametrize("lead", ["neck.braid -> volume.case", "bridge.cover -> volume.case",
                                  "selector.frame -> volume.case", "strings.ground -> tone.case"])
def test_braid_cover_frame_and_strings_stay_on_ground(lead: str) -> None:
    broken = without(built(PLAIN), "bridge.start -> volume.case")
    change = Change("", tuple(x for x in broken.leads if f"{x.start} -> {x.end}" != lead))
    assert verdict(broken, change).endswith("is taken off ground")


def test_a_bent_lug_a_bridge_and_a_leg_are_never_moved_exchanged_or_taken_out() -> None:
    made = built(PLAIN)
    bends = {x for x in made.leads if x.kind == "bend"}
    assert bends
    assert all(bends <= set(change.leads) for change in changes(made))
    bridged = sample(SAMPLES / "baritone.yaml")
    held = {x for x in bridged.leads if x.kind in ("bend", "bridge", "leg")}
    assert {x.kind for x in held} == {"bend", "bridge"}
    assert all(held <= set(change.leads) for change in changes(bridged, {"volume.zero", "selector.up centre"}))
    bend = next(iter(bends))
    assert verdict(made, Change("", tuple(x for x in made.leads if x != bend))) == "a bent lug is moved"


def test_a_conductor_is_not_moved_from_its_pickup() -> None:
    made = built(PLAIN)
    own = {"neck.hot", "bridge.finish", "bridge.start"}
    for change in changes(made, None, ("move",)):
        (old,), (new,) = set(made.leads) - set(change.leads), set(change.leads) - set(made.leads)
        assert not (str(old.start) in own and str(new.start) != str(old.start)), change.words


def test_a_lead_to_a_batterys_plus_is_no_ground() -> None:
    made = sample(SAMPLES / "bass-active.yaml")
    broken = without(made, "neck.start -> blend.case")
    assert verdict(broken, plus(broken, "neck.start -> preamp.plus")) == "neck.start is joined to the battery's plus"


def test_a_splice_is_not_left_with_a_lead_that_meets_nothing() -> None:
    made = sample(SAMPLES / "two-pickups-toggle.yaml")
    change = moved(made, "selector.up centre -> common.joint", "output.tip")
    assert verdict(made, change) == "common.joint joins nothing any more"


def test_a_new_bare_lug_is_a_rule_broken() -> None:
    broken = without(built(PLAIN), "bridge.start -> volume.case")
    change = moved(broken, "volume.ten -> tone.wiper", "bridge.start")
    assert verdict(broken, change) != ""


def test_a_tone_that_took_treble_still_does() -> None:
    made = built(PLAIN)
    gone = Change("", tuple(x for x in made.leads if f"{x.start} -> {x.end}" not in HONEST))
    assert takes(state_table(applied(made, gone)))["tone.turn"].treble < 1
    assert takes(state_table(made))["tone.turn"].treble > 15
    assert verdict(made, gone) != ""


def test_a_volume_mutes_every_coil_in_whose_way_it_lies() -> None:
    made = built(PLAIN)
    states = state_space(made, all_plugs=True)
    here = ways(made, states, range(states.count))
    assert here.volumes == {"volume.turn"}
    assert loud(made, states, here) == frozenset()
    open_end = without(made, "volume.zero -> volume.case")
    there = ways(open_end, states, range(states.count))
    assert {coil for _, _, coil in loud(open_end, states, there)} == {"neck.a", "neck.b", "bridge"}
    assert verdict(made, Change("", tuple(x for x in made.leads if x.kind != "bend"))) != ""


def test_a_treble_bleed_is_no_way_past_a_volume() -> None:
    made = built(PLAIN.replace("  output:", "  bleed: bleed-parallel, 150k 680p, between volume.ten and volume.wiper\n"
                               "  output:", 1))
    states = state_space(made, all_plugs=True)
    assert ways(made, states, range(states.count)).volumes == {"volume.turn"}


def test_a_blend_passes_both_pickups_and_plays_them_through_no_track() -> None:
    made = sample(SAMPLES / "bass-active.yaml")
    states = state_space(made, all_plugs=True)
    found = ways(made, states, range(1))
    assert found.volumes == {"blend.turn", "volume.turn"}
    assert found.through == frozenset()
    assert loud(made, states, found) == frozenset()


def test_an_end_that_leads_nowhere_is_put_back_on_the_bare_lug_beside_it() -> None:
    lever = sample(SAMPLES / "three-singles-lever.yaml")
    spare = replace(lever, leads=tuple(x for x in lever.leads if "lever.b" not in f"{x.start} {x.end}"))
    broken = applied(spare, moved(spare, "neck.finish -> lever.a 3", "lever.b 3"))
    assert Likely(broken).strays
    assert [c.words for c in leads_more(broken) if c.kind == "back" and "to lever.a 3" in c.words]


def test_a_coils_two_ends_are_exchanged_as_one_piece_of_work_where_several_leads_are_on_one() -> None:
    made = built("""
format: 1
parts:
  one: {symbol: dual-coil, value: 4k 4k}
  mode: toggle-mini-dpdt-on-on
  output: jack-mono-open
leads:
  - one.a finish -> output.tip
  - one.a finish -> mode.b 1
  - one.a start -> mode.a common
  - one.b finish -> mode.b common
  - one.b start -> output.sleeve
  - one.bare -> output.sleeve
  - mode.a 2 -> mode.b 2
  - mode.a 1 -> output.sleeve
wanted:
  - {when: {mode: 2}, sounds: one.a + one.b, phase: in}
  - {when: {mode: 1}, sounds: one.a || one.b, phase: in}
""")
    found = remedy(made)
    assert found is not None
    assert found.change is not None
    assert found.change.words.startswith("exchange all that is on one.a start with what is on one.a finish")


@pytest.mark.parametrize("path", READABLE, ids=lambda path: path.stem)
def test_nothing_is_proposed_for_a_sample_that_keeps_its_promises(path: Path) -> None:
    say = Diagnostics()
    prove(sample(path), say, mend=True)
    assert not [p.text() for p in say if p.code == "CIR-306"]


def test_a_lead_that_seems_to_be_missing_is_a_note_beside_its_part() -> None:
    say = Diagnostics()
    made = without(built(PLAIN), "volume.zero -> volume.case")
    prove(made, say, mend=True)
    (note,) = [p for p in say if p.code == "CIR-306"]
    assert note.severity is Severity.NOTE
    assert note.message == "a lead seems to be missing: add a lead from volume.zero to volume.case"
    assert note.place == made.parts["volume"].place


def test_a_build_without_wanted_sounds_is_not_guessed_at() -> None:
    say = Diagnostics()
    prove(without(built(PLAIN.partition("wanted:")[0]), "volume.zero -> volume.case"), say, mend=True)
    assert not [p for p in say if p.code == "CIR-306"]


def _drop(lead: str) -> Callable[[str], str]:
    return lambda text: "".join(line for line in text.splitlines(keepends=True) if lead not in line)


@pytest.mark.parametrize("break_it", [
    _drop("- bridge.start ->"), _drop("- volume.wiper ->"), _drop("- strings.ground ->"), _drop("- volume.zero ->"),
    lambda text: text.replace("bridge.start -> volume.case", "bridge.start -> volume.ten"),
], ids=["coil", "tip", "strings", "bend", "moved"])
def test_check_and_sounds_propose_the_same_in_the_same_words(
    break_it: Callable[[str], str], tmp_path: Path
) -> None:
    build = tmp_path / "my.yaml"
    build.write_text(break_it(PLAIN), encoding="utf-8")
    said = [CliRunner().invoke(group, [command, str(build)], prog_name="diagramgen").output
            for command in ("check", "sounds")]
    proposals = [[line for line in text.splitlines()
                  if "Smallest change" in line or "CIR-306" in line] for text in said]
    assert proposals[0]
    assert proposals[0] == proposals[1]
