"""What a proposal is held to beside the wanted sounds: what cannot be proved, and what a knob did."""

from __future__ import annotations

from circuits import built

from diagramgen.circuit.nets import connect
from diagramgen.circuit.proof import complaints, prove, remedy
from diagramgen.circuit.repair.forbidden import Rules
from diagramgen.circuit.repair.search import applied, changes
from diagramgen.circuit.state_table import state_table
from diagramgen.circuit.states import state_space
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, Problem

UNPROVED = """
format: 1
parts:
  neck: {symbol: single-coil, value: 7k2 clockwise south}
  bridge: {symbol: single-coil, value: 7k4 anticlockwise north}
  selector: toggle-short
  volume: pot-24, 250k log
  output: jack-mono-open
leads:
  - neck.finish -> selector.up
  - bridge.finish -> selector.down
  - neck.start -> volume.case
  - bridge.start -> volume.case
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip
  - volume.case -> output.sleeve
wanted:
  - {when: {selector: up}, sounds: neck, hum: full}
  - {when: {selector: middle}, sounds: neck || bridge, phase: in, hum: cancels}
  - {when: {selector: down}, sounds: bridge, hum: full}
"""


def test_hum_that_cannot_be_proved_does_not_keep_a_missing_lead_from_being_found() -> None:
    found = remedy(built(UNPROVED))
    assert found is not None
    assert found.change is not None
    assert found.change.words == "add a lead from selector.common to volume.ten"
    assert found.text.endswith("Then every wanted sound that can be proved is true.")


def test_what_is_proved_is_said_without_reserve() -> None:
    found = remedy(built(UNPROVED.replace(", hum: cancels", "")))
    assert found is not None
    assert found.text.endswith("Then every wanted sound is true.")


PAST = """
format: 1
parts:
  blend: pot-blend, 250k
  volume: pot-24, 250k log
  neck: {symbol: single-coil, value: 7k2 clockwise south}
  bridge: {symbol: single-coil, value: 7k4 anticlockwise north}
  output: jack-mono-open
leads:
  - neck.finish -> blend.front wiper
  - bridge.finish -> blend.rear wiper
  - blend.front zero -> LUG
  - blend.rear ten -> volume.ten
  - blend.front ten -> blend.case
  - blend.rear zero -> blend.case
  - neck.start -> blend.case
  - bridge.start -> blend.case
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip
  - blend.case -> volume.case
  - volume.case -> output.sleeve
wanted:
  - {sounds: neck || bridge, phase: in}
"""


def said_of_knobs(text: str) -> list[str]:
    return [p.message for p in complaints(built(text)) if p.code == "CIR-253"]


def test_a_volume_that_makes_a_pickup_louder_on_its_way_down_is_said() -> None:
    (message,) = said_of_knobs(PAST.replace("LUG", "volume.wiper"))
    assert message.startswith("volume does not lower neck on the way down: from 10 to 5 it makes neck 4.")
    assert said_of_knobs(PAST.replace("LUG", "blend.rear ten")) == []
    assert said_of_knobs(PAST.replace("LUG", "volume.wiper").replace(
        "volume: pot-24, 250k log", "volume: {symbol: pot-24, value: 250k log, meant: the neck passes it by}")) == []


def test_a_pickup_alone_on_the_wiper_of_a_volume_is_said_too() -> None:
    text = UNPROVED.replace("neck.finish -> selector.up", "neck.finish -> selector.up\n  - selector.common -> "
                            "volume.wiper").replace("bridge.finish -> selector.down", "bridge.finish -> volume.ten")
    assert said_of_knobs(text)


def test_a_volume_of_each_pickup_raises_the_other_and_that_is_no_fault() -> None:
    both = PAST.replace("blend: pot-blend, 250k", "own: pot-24, 250k log").replace("blend.case", "own.case")
    both = both.replace("blend.front wiper", "own.ten").replace("blend.rear wiper", "volume.ten")
    lines = [line for line in both.splitlines() if "blend." not in line]
    at = lines.index("  - volume.wiper -> output.tip")
    lines[at:at] = ["  - own.zero -> own.case, bend", "  - own.wiper -> volume.wiper"]
    assert said_of_knobs("\n".join(lines)) == []


def test_no_proposal_leads_a_pickup_past_a_volume() -> None:
    found = remedy(built(PAST.replace("  - blend.front zero -> LUG\n", "")))
    assert found is not None
    assert found.change is not None
    assert found.change.words == "add a lead from blend.front zero to blend.rear ten"


def test_a_change_after_which_a_knob_no_longer_lowers_a_pickup_is_refused() -> None:
    made = built(PAST.replace("LUG", "blend.rear ten"))
    states = state_space(made, all_plugs=True)
    rules = Rules(made, states, range(states.count), lambda build: ())
    (change,) = [c for c in changes(made, None, ("move",))
                 if "(neck.finish to" not in c.words and c.words.startswith("move the end of")
                 and c.words.endswith("from blend.rear ten to volume.wiper") and "blend.front zero" in c.words]
    after = applied(made, change)
    assert rules.stands(after, connect(after)) == "no volume lowers neck on its way down any more"


def test_a_lead_between_two_bare_ends_is_likelier_than_one_that_strands_a_throw() -> None:
    found = remedy(built("""
format: 1
parts:
  one: {symbol: single-coil, value: 6k clockwise north}
  two: {symbol: single-coil, value: 6k clockwise north}
  three: {symbol: single-coil, value: 6k clockwise north}
  mode: toggle-mini-dpdt-on-on
  output: jack-mono-open
leads:
  - one.finish -> output.tip
  - one.start -> mode.a common
  - mode.a 1 -> output.sleeve
  - two.start -> output.sleeve
  - three.finish -> mode.b common
  - mode.b 1 -> output.tip
  - three.start -> output.sleeve
wanted:
  - {when: {mode: 1}, sounds: one || three, phase: in}
  - {when: {mode: 2}, sounds: one + two, phase: in}
"""))
    assert found is not None
    assert found.change is not None
    assert set(found.change.ends) == {"two.finish", "mode.a 2"}


def test_the_level_that_a_volume_takes_at_0_is_that_of_the_list_of_sounds() -> None:
    made = built(UNPROVED.replace("  - volume.zero -> volume.case, bend\n", "").replace(
        "bridge.finish -> selector.down", "bridge.finish -> volume.ten"))
    heard = [next(h for h in state_table(made, {"volume.turn": turn}).results[0].sound.sounding if h.coil == "bridge")
             for turn in (0.0, 10.0)]
    (message,) = [p.message for p in complaints(made) if p.code == "CIR-253"]
    assert f"takes only {heard[1].level_db - heard[0].level_db:.1f} dB from bridge (" in message


def test_a_missing_signal_ground_is_led_to_a_case_not_to_the_clamp_of_the_bridge() -> None:
    found = remedy(built("""
format: 1
parts:
  tap: toggle-mini-spdt-on-on
  volume: pot-24, 250k log
  bridge: {symbol: single-coil-tapped}
  output: jack-mono-open
  strings: bridge-ground
leads:
  - bridge.finish -> tap.throw 1
  - bridge.tap -> tap.throw 2
  - bridge.start -> volume.case
  - tap.common -> volume.ten
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip
  - strings.ground -> volume.case
wanted:
  - {when: {tap: 1}, sounds: bridge, phase: single}
  - {when: {tap: 2}, sounds: bridge.inner, phase: single}
"""))
    assert found is not None
    assert found.change is not None
    assert set(found.change.ends) == {"output.sleeve", "volume.case"}


ALONE = UNPROVED.partition("wanted:")[0] + "  - selector.common -> volume.ten\n  - selector.frame -> volume.case\n"


def without(text: str, lead: str) -> str:
    assert f"  - {lead}" in text
    return "".join(line for line in text.splitlines(keepends=True) if f"  - {lead}" not in line)


def noted(text: str) -> list[Problem]:
    say = Diagnostics()
    prove(built(text), say, mend=True)
    return [p for p in say if p.code == "CIR-306"]


def test_without_wanted_sounds_a_lead_between_the_only_two_bare_ends_is_a_note() -> None:
    (note,) = noted(without(ALONE, "volume.wiper -> output.tip"))
    assert note.message == "a lead seems to be missing: add a lead from volume.wiper to output.tip"
    assert note.severity is Severity.NOTE
    assert "No wanted sound says what was meant" in note.remedy


def test_without_wanted_sounds_nothing_is_proposed_where_not_exactly_two_ends_are_bare() -> None:
    assert noted(ALONE) == []
    assert noted(without(ALONE, "volume.zero -> volume.case")) == []
    two = without(without(ALONE, "neck.finish -> selector.up"), "bridge.finish -> selector.down")
    assert noted(two) == [], "two coils on each other would leave both unheard"
    assert noted(without(without(ALONE, "volume.wiper -> output.tip"), "neck.start -> volume.case")) == []
