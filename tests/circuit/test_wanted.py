"""What a build promises, held against what its wiring gives."""

from __future__ import annotations

import pytest
from builders import codes, only
from circuits import built

from diagramgen.circuit.check_wanted import check_wanted, same_network, words
from diagramgen.circuit.sounds import Heard, Sound
from diagramgen.circuit.state_table import state_table
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics

SPLIT = """
parts:
  pickup: dual-coil
  mode: pot-24-push-pull, 500k log
  output: jack-mono-open
leads:
  - pickup.a start -> mode.ten
  - pickup.a finish -> pickup.b {b_hot}, sleeved
  - pickup.a finish -> mode.a common
  - mode.a near -> mode.case
  - pickup.b {b_cold} -> mode.case
  - mode.zero -> mode.case
  - mode.wiper -> output.tip
  - mode.case -> output.sleeve
wanted:
  - {{when: {{mode: pushed}}, sounds: pickup.a + pickup.b, phase: in, hum: most}}
  - {{when: {{mode: pulled}}, sounds: pickup.a, hum: full}}
"""


def said(text: str) -> Diagnostics:
    say = Diagnostics()
    check_wanted(state_table(built(text)), say)
    return say


def split(hot: str = "finish", cold: str = "start") -> str:
    return SPLIT.format(b_hot=hot, b_cold=cold)


def test_promises_that_are_kept_say_nothing() -> None:
    assert codes(said(split())) == []


def test_exchanged_leads_of_one_coil_break_phase_and_hum() -> None:
    say = said(split("start", "finish"))
    assert codes(say) == ["CIR-302", "CIR-303"]
    problem = only(say, "CIR-302")
    assert problem.severity is Severity.ERROR
    assert problem.message == "mode pushed: wanted phase in, the wiring gives phase out"
    assert problem.place.line == 16


def test_a_wrong_connection_names_what_the_wiring_gives() -> None:
    say = said(split().replace("sounds: pickup.a, hum: full", "sounds: pickup.b"))
    assert only(say, "CIR-301").message == "mode pulled: wanted pickup.b, the wiring gives pickup.a"


def test_unknown_signs_are_no_proof_and_no_error() -> None:
    say = said("""
parts:
  one: single-coil
  two: single-coil
  output: jack-mono-open
leads:
  - one.finish -> output.tip
  - two.finish -> output.tip
  - one.start -> output.sleeve
  - two.start -> output.sleeve
wanted:
  - {when: {output: mono}, sounds: one || two, phase: in, hum: cancels}
""")
    assert codes(say) == ["CIR-304", "CIR-304"]


def test_a_plug_that_is_out_gives_silence_as_asked() -> None:
    text = split().replace("wanted:\n", "wanted:\n  - {when: {output: out}, sounds: silent}\n")
    assert codes(said(text)) == []


NAMES = {n: n for n in "abcd"}


@pytest.mark.parametrize(("asked", "given", "signs", "fits"), [
    ("a + b", "b + a", "++", True), ("(a + b) + c", "a + (b + c)", "+++", True), ("a || b", "a + b", "++", False),
    ("a - b", "b - a", "-+", True), ("a - b", "a + b", "++", False), ("a + b", "a - b", "+-", False),
    ("(a + b) || c", "c || (b + a)", "+++", True), ("(a + b) || c", "(a + c) || b", "+++", False),
    ("-(a + b) || c", "(a + b) || -c", "++-", True), ("a + b", "a + b + cap", "++", True),
    ("a + b", "a + b", "+?", None), ("a + b", "a || b", "+?", False), ("a", "-a", "-", True),
])
def test_networks_are_equal_up_to_order_association_and_overall_sign(
    asked: str, given: str, signs: str, fits: bool | None
) -> None:
    coils = [n for n in "abcd" if n in given.replace("cap", "")]
    heard = tuple(Heard(n, {"+": 1, "-": -1, "?": None}[s], 0.0) for n, s in zip(coils, signs, strict=True))
    sound = Sound(heard, given, "in", "full", 100.0, 0.0, None, None)
    assert same_network(asked, sound, NAMES, signed=True) is fits


def test_silence_is_only_silence() -> None:
    silent = Sound((), "silent", "silent", "silent", None, None, None, None)
    assert same_network("silent", silent, NAMES, signed=True)
    assert not same_network("a", silent, NAMES, signed=True)


MUTED = """
parts:
  one: single-coil
  output: jack-mono-open
leads:
  - one.finish -> parked
  - one.start -> output.sleeve
wanted:
"""
ONE, SILENT = "  - {when: {output: mono}, sounds: one}\n", "  - {when: {output: mono}, sounds: silent}\n"


@pytest.mark.parametrize(("wanted", "lines"), [(ONE, [9]), (ONE + ONE, [9]), (SILENT + ONE, [10]), (SILENT, [])])
def test_promises_of_a_build_that_never_sounds_are_each_said_or_all_at_once(wanted: str, lines: list[int]) -> None:
    say = said(MUTED + wanted)
    assert [p.place.line for p in say.sorted() if p.code == "CIR-301"] == lines
    assert ("none of the 2 wanted sounds (lines 9, 10)" in "".join(p.message for p in say)) is (wanted == ONE + ONE)


@pytest.mark.parametrize(("jack", "state", "said"), [
    ("jack-mono-open", {}, "the only position"), ("jack-stereo-open", {"output": "mono"}, "mono plug in"),
    ("jack-stereo-open", {"output": "stereo"}, "output stereo"),
])
def test_a_state_without_switches_is_called_by_its_plug_or_the_only_one(
    jack: str, state: dict[str, str], said: str
) -> None:
    made = built(f"parts:\n  one: single-coil\n  output: {jack}\nleads:\n  - one.finish -> output.tip\n"
                 "  - one.start -> output.sleeve\n")
    assert words(state, state_table(made).space) == said


@pytest.mark.parametrize(("idle", "more"), [("", ""), ("toggle-mini-spdt-on-on", " (and 1 more state)"),
                                            ("toggle-mini-spdt-on-off-on", " (and 2 more states)")])
def test_a_broken_promise_says_in_how_many_states_more(idle: str, more: str) -> None:
    text = split().replace("sounds: pickup.a, hum: full", "sounds: pickup.b")
    message = only(said(text.replace("  output:", f"  idle: {idle}\n  output:") if idle else text), "CIR-301").message
    before, _, after = message.partition(": wanted pickup.b")
    assert after == ", the wiring gives pickup.a"
    assert before.endswith(more)
    assert more or "more" not in before
