"""A symbol file with a fault: what is said, where, and what to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagramgen.kernel.diagnostics import Diagnostics, Problem
from diagramgen.library.catalogue import CALLED_BEFORE, load, shipped, shipped_files, with_own

GOOD = """\
symbol: probe
kind: probe switch
family: probes
about: A part that only the tests use.
dimensions:
  width: {value: 10 mm, says: width of the case, source: "typical, from memory"}
  pitch: {value: 4 mm, says: lug to lug, source: "typical, from memory"}
values:
  track: {is: resistance, value: 500k, says: track, source: "common practice, no source"}
  law: {is: word, value: log, says: law, source: "common practice, no source"}
body:
  - {disc: width, to: 5}
lugs:
  - {row: [zero, wiper, ten], pitch: pitch}
  - {row: [common, throw], at: [0, pitch], pitch: pitch}
controls:
  turn: {kind: knob}
  push: {kind: switch, positions: [out, in]}
contacts:
  push:
    rows:
      - {at: out, joins: []}
      - {at: in, joins: [[common, throw]]}
elements:
  - {is: track, ends: {zero: zero, wiper: wiper, ten: ten}, values: {resistance: track, law: law}, by: turn}
metal:
  frame: {lugs: [common]}
lug words: {zero: "0"}
"""


def problems(old: str = "", new: str = "", file: str = "probe.yaml") -> list[Problem]:
    assert not old or GOOD.count(old) == 1, old
    say = Diagnostics()
    load(GOOD.replace(old, new).encode() if old else GOOD.encode(), file, say)
    return list(say.sorted())


def the_one(old: str, new: str) -> Problem:
    found = problems(old, new)
    assert len(found) == 1, [p.text() for p in found]
    return found[0]


def line_of(part: str) -> int:
    return GOOD[: GOOD.index(part)].count("\n") + 1


def test_the_good_file_has_no_problem() -> None:
    assert problems() == []


CASES = {
    "unknown dimension in a lug's place":
        ("at: [0, pitch]", "at: [0, pich]", "SYM-101", "'pich' uses 'pich', which is no dimension", "width"),
    "unknown dimension in the body":
        ("disc: width", "disc: widht / 2", "SYM-101", "uses 'widht'", "pitch, width"),
    "lug laid out twice":
        ("[common, throw], at", "[common, throw, zero], at", "SYM-116", "the lug 'zero' is laid out twice", ""),
    "contact naming a lug that is not there":
        ("joins: [[common, throw]]", "joins: [[common, throws]]", "SYM-112",
         "a contact names the lug 'throws', which this symbol lacks", "Did you mean 'throw'?"),
    "metal naming a lug that is not there":
        ("lugs: [common]", "lugs: [comon]", "SYM-112", "metal names the lug 'comon'", "Did you mean 'common'?"),
    "lug words for a lug that is not there":
        ('lug words: {zero: "0"}', 'lug words: {zerro: "0"}', "SYM-112", "lug words names the lug 'zerro'",
         "Did you mean 'zero'?"),
    "element end that is not there":
        ("ten: ten}", "ten: tne}", "SYM-112", "an element names the lug 'tne'", "Did you mean 'ten'?"),
    "element without one of its ends":
        (", ten: ten}", "}", "SYM-113", "element 'track' needs the ends ten, wiper, zero", ""),
    "element value that is not given":
        ("law: law}, by", "law: lay}, by", "SYM-114", "uses the value 'lay', which is not given",
         "Did you mean 'law'?"),
    "element moved by no control":
        ("by: turn", "by: twist", "SYM-115", "is moved by 'twist', which is no control", ""),
    "contacts for no control":
        ("contacts:\n  push:", "contacts:\n  pusch:", "SYM-115", "contacts are given for 'pusch'",
         "Did you mean 'push'?"),
    "position without a row":
        ("positions: [out, in]", "positions: [out, in, held]", "SYM-118", "rows of 'push' do not match", "held"),
    "words that do not match the positions":
        ("positions: [out, in]", "positions: [out, in], words: [let go]", "SYM-118",
         "'push' has 2 positions but 1 words", ""),
    "name other than the file's":
        ("symbol: probe", "symbol: prob", "SYM-110", "the file is called 'probe.yaml' but holds 'prob'",
         "same name"),
}


@pytest.mark.parametrize("case", CASES)
def test_a_name_that_does_not_fit_is_said_with_the_nearest_that_does(case: str) -> None:
    old, new, code, message, remedy = CASES[case]
    problem = the_one(old, new)
    assert problem.code == code
    assert message in problem.message
    assert remedy in problem.remedy
    assert problem.place.file == "probe.yaml"


PLACED = {
    "unknown key": ("  - {disc: width, to: 5}", "  - {disc: width, too: 5}", "INP-109",
                    "a figure has no key 'too'", 19),
    "unknown key at the top": ("metal:", "metall:", "INP-109", "a symbol has no key 'metall'", 1),
    "dimension without a source": (', source: "typical, from memory"}\n  pitch', "}\n  pitch", "INP-110",
                                   "a dimension lacks 'source'", 10),
    "value without a source": ('says: law, source: "common practice, no source"', "says: law", "INP-110",
                               "a value lacks 'source'", 8),
    "sum that cannot be read": ("disc: width", "disc: width +", "SYM-101", "'width +' is not complete", 12),
    "length in no unit that is known": ("10 mm", "10 cubits", "INP-105", "10 cubits", 18),
    "unknown kind of control": ("kind: knob", "kind: nob", "INP-103", "'nob' is not one of", 16),
    "figure of two forms": ("{disc: width, to: 5}", "{disc: width, box: [1, 2], to: 5}", "SYM-105",
                            "exactly one of disc, box, polygon, line", 5),
    "lug pattern of two forms": (
        "{row: [zero, wiper, ten], pitch", "{spot: back, row: [zero, wiper, ten], pitch", "SYM-106",
        "exactly one of row, grid, arc, spot", 5),
    "resistance that is none": ("500k", "5 apples", "SYM-104", "apples", 27),
    "join of a single lug": ("[[common, throw]]", "[[common]]", "INP-108", "needs at least 2 entries", 26),
    "lug name of foreign signs": ("[common, throw], at", "[common, th.row], at", "INP-104",
                                  "'th.row' is not a lug name", 20),
}


@pytest.mark.parametrize("case", PLACED)
def test_a_fault_is_said_at_its_line_and_column(case: str) -> None:
    old, new, code, message, column = PLACED[case]
    found = [p for p in problems(old, new) if p.code == code]
    assert found, [p.text() for p in problems(old, new)]
    assert message in found[0].message
    assert found[0].place.line == line_of(old)
    assert found[0].place.column == column


def test_an_unknown_key_is_answered_with_the_nearest_key() -> None:
    assert the_one("lug words:", "lug wrods:").remedy == "Did you mean 'lug words'?"


def test_all_faults_of_a_file_are_said_in_one_run() -> None:
    say = Diagnostics()
    bad = GOOD.replace("kind: knob", "kind: nob").replace("to: 5", "too: 5")
    load(bad.encode(), "probe.yaml", say)
    assert {p.code for p in say} >= {"INP-103", "INP-109"}


def test_an_empty_file_is_said_to_be_empty() -> None:
    say = Diagnostics()
    assert load(b"", "probe.yaml", say) is None
    assert [p.code for p in say] == ["SYM-100"]


def test_a_symbol_without_lugs_is_refused() -> None:
    say = Diagnostics()
    text = GOOD[: GOOD.index("lugs:")]
    assert load(text.encode(), "probe.yaml", say) is None
    assert "SYM-117" in {p.code for p in say}


def test_an_outside_drawing_must_have_the_same_lugs() -> None:
    say = Diagnostics()
    text = GOOD + "outside:\n  lugs:\n    - {row: [zero, wiper, ten, common], pitch: pitch}\n"
    assert load(text.encode(), "probe.yaml", say) is None
    (problem,) = say.sorted()
    assert problem.code == "SYM-111"
    assert problem.message.endswith("throw")


def test_a_users_symbol_may_not_take_the_name_of_a_shipped_one(tmp_path: Path) -> None:
    (tmp_path / "pot-24.yaml").write_text(GOOD, encoding="utf-8")
    (tmp_path / "probe.yaml").write_text(GOOD, encoding="utf-8")
    say = Diagnostics()
    catalogue = with_own(tmp_path, say)
    assert [p.code for p in say] == ["SYM-120"]
    assert catalogue["probe"].kind == "probe switch"
    assert catalogue["pot-24"].name == "pot-24"
    assert len(catalogue) == len(shipped_files()) + 1


def test_an_older_name_of_a_shipped_symbol_gives_the_symbol_and_is_no_name_for_a_users_own(tmp_path: Path) -> None:
    known = shipped()
    for old, new in CALLED_BEFORE.items():
        assert old in known
        assert known[old] is known[new]
        assert known.file(old) == known.file(new)
        assert old not in list(known), "only today's name is listed"
        (tmp_path / f"{old}.yaml").write_text(GOOD, encoding="utf-8")
    say = Diagnostics()
    assert set(with_own(tmp_path, say)) == set(shipped_files())
    assert [p.code for p in say] == ["SYM-120"] * len(CALLED_BEFORE)


def test_a_symbol_is_read_once_until_its_bytes_change_and_its_faults_are_said_every_time(tmp_path: Path) -> None:
    file = tmp_path / "probe.yaml"
    file.write_text(GOOD, encoding="utf-8")
    first = with_own(tmp_path, Diagnostics())["probe"]
    assert with_own(tmp_path, Diagnostics())["probe"] is first
    file.write_text(GOOD.replace("10 mm", "11 mm"), encoding="utf-8")
    changed = with_own(tmp_path, Diagnostics())["probe"]
    assert changed.dimensions != first.dimensions
    file.write_text(GOOD.replace("symbol: probe", "symbol: prob"), encoding="utf-8")
    for _ in range(2):
        say = Diagnostics()
        with_own(tmp_path, say).get("probe")
        assert [p.code for p in say] == ["SYM-110"]
