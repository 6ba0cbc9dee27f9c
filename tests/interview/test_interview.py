"""The interview: every answer has a default, a bad one is refused with the reason, and what is made of the answers
reads and proves without an error, whatever the parts."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagramgen.analysis import Analysis, examine
from diagramgen.features.interview.answered import build_text
from diagramgen.features.interview.answers import Answers, Reason
from diagramgen.features.interview.questions import UNMEASURED, interview
from diagramgen.kernel.codes import Severity

MEASURED = {"Control cavity": "160 x 110", "Radius": "12", "Clear depth": "50", "Wood": "5"}
KINDS = {
    "all defaults": {},
    "one pickup, nothing but a jack": {"How many": "1", "Volumes": "none", "Tones": "none"},
    "one pickup, no string ground": {"How many": "1", "wire that grounds": "no", "Jack": "jack-barrel"},
    "two dual coils, two volumes, two tones, upright": {
        "Kind of": "dual-coil", "Volumes": "each", "Tones": "each", "Selector": "toggle-upright"},
    "two braided, two volumes, one tone": {"Kind of": "dual-coil-braided", "Volumes": "each"},
    "two dual coils on a three-way lever": {"Kind of": "dual-coil", "Selector": "lever-open-3"},
    "two without a selector": {"Selector": "none", "Kind of": "dual-coil-two-conductor-bare"},
    "two without pots": {"Volumes": "none", "Tones": "none", "Kind of": "dual-coil"},
    "two bass pickups, no selector, two volumes": {
        "Kind of the neck": "bass-split", "Kind of the bridge": "bass-single", "Selector": "none", "Volumes": "each"},
    "three single coils, two tones": {"How many": "3", "Tones": "two"},
    "three dual coils, no pots": {"How many": "3", "Kind of": "dual-coil", "Volumes": "none", "Tones": "none"},
    "three with covers, three-way lever": {
        "How many": "3", "Kind of": "single-coil-cover-tag", "Selector": "lever-open-3"},
    "measured, left-handed": {**MEASURED, "Hand": "left", "Kind of": "dual-coil"},
    "measured, front, jack in the cavity": {
        **MEASURED, "Wood": "3", "Opened": "front", "Where is the jack": "cavity", "How many": "3", "Tones": "two"},
    "measured with channels and holes": {
        **MEASURED, "channel the leads of the pickups": "80 110", "leads to the jack": "160 40",
        "string ground comes": "100 110", "Have the holes": "yes", "hole of volume": "50 60",
        "hole of tone": "110 60", "hole of selector": "80 24"},
    "selector in the upper bout, in inches": {
        "Control cavity": "6 x 4 in", "Where is the selector": "own", "Selector": "toggle-upright", "Volumes": "each"},
}  # fmt: skip


def asked(answers: dict[str, str]) -> tuple[Answers, list[str]]:
    """The interview held with answers by the beginning of a question's words; else with the default."""
    questions, put = interview(), []
    question = next(questions)
    while True:
        put.append(question.words)
        typed = next((a for words, a in answers.items() if words in question.words), question.default)
        try:
            question = questions.send(question.read(typed))
        except StopIteration as done:
            return done.value, put


def proved(text: str, folder: Path) -> Analysis:
    path = folder / "made.yaml"
    path.write_text(text, encoding="utf-8")
    return examine(path)


@pytest.mark.parametrize("kind", KINDS)
def test_an_interview_gives_a_build_without_errors(kind: str, tmp_path: Path) -> None:
    answers, put = asked(KINDS[kind])
    for words in KINDS[kind]:
        assert any(words in question for question in put), words
    proof = proved(build_text(answers), tmp_path)
    assert [p.text() for p in proof.problems if p.severity is Severity.ERROR] == []
    assert proof.layout is not None
    # No lug or case is given more than it takes, no two leads on a part are mistaken for each other.
    assert {p.code for p in proof.problems} & {"LEN-304", "INP-329", "CIR-250", "CIR-210", "CIR-249"} == set()


def test_without_measures_only_notes_are_said(tmp_path: Path) -> None:
    proof = proved(build_text(asked({})[0]), tmp_path)
    assert [p.text() for p in proof.problems if p.severity is not Severity.NOTE] == []


def test_every_promise_of_a_made_build_is_proved(tmp_path: Path) -> None:
    """One position each: a promise the wiring does not keep is error CIR-301."""
    for kind in ("two dual coils on a three-way lever", "three single coils, two tones"):
        answers, _ = asked(KINDS[kind])
        text = build_text(answers)
        exchanged = text.replace("sounds: neck", "sounds: bridge", 1)
        assert exchanged != text
        assert not proved(text, tmp_path).has_errors
        assert "CIR-301" in {p.code for p in proved(exchanged, tmp_path).problems}


def test_a_tone_each_is_only_offered_where_it_can_be() -> None:
    def tones(answers: dict[str, str]) -> list[str]:
        questions = interview()
        question = next(questions)
        while not question.words.startswith("Tones"):
            typed = next((a for words, a in answers.items() if words in question.words), question.default)
            question = questions.send(question.read(typed))
        return [answer for answer, _ in question.choices]

    assert tones({}) == ["one", "none"]
    assert tones({"Volumes": "each"}) == ["one", "each", "none"]
    assert tones({"How many": "3"}) == ["one", "two", "none"]


BAD = [
    ("Control cavity", "ninety", "width x height"), ("Control cavity", "92,5 x 62", "decimal comma"),
    ("Control cavity", "920 x 62", "outside 20 to 400 mm"), ("Radius", "70", "outside 0 to 55 mm"),
    ("Radius", "3/8", "fraction without a unit"), ("How many", "4", "is not one of them"),
    ("Kind of", "humbuckel", "is not one of them"), ("Kind of", "dual", "more than one of them"),
    ("Value of the pots", "250 log", ""), ("Value of the pots", "250k A", "no law"),
    ("Value of the pots", "x log", "no resistance"), ("Capacitor", "47", "no unit"),
    ("Title", "x" * 121, "120 fit"), ("Title", "a\x1b[2J", "control character"), ("Hand", "", "is not one of them"),
    ("Mouth", "200 20", "outside the cavity"), ("Mouth", "20", "two numbers"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "typed", "why"), [b for b in BAD if b[2]], ids=lambda v: str(v)[:20])
def test_a_bad_answer_is_refused_with_the_reason(words: str, typed: str, why: str) -> None:
    questions = interview()
    question = next(questions)
    while words not in question.words:
        known = next((a for w, a in MEASURED.items() if w in question.words), question.default)
        question = questions.send(question.read(known))
    with pytest.raises(Reason, match=why):
        question.read(typed)


def test_measures_are_taken_in_inches() -> None:
    answers, _ = asked({"Control cavity": "3 5/8 x 2 1/2 in", "Radius": "1/2 in", "Clear depth": "1.5 in"})
    assert answers.cavity is not None
    assert (answers.cavity.width, answers.cavity.height) == pytest.approx((3.625 * 25.4, 2.5 * 25.4))
    assert (answers.cavity.corner, answers.cavity.depth) == pytest.approx((12.7, 38.1))


def test_what_was_not_measured_is_not_in_the_file() -> None:
    text = build_text(asked({"Control cavity": "100 x 70"})[0])
    keys = [line.partition("#")[0].strip() for line in text.splitlines()]
    assert "controls: {opened from: rear, shape: {rounded: [100, 70]}}" in keys
    assert not any("depth" in k or "wood above" in k or k.startswith("channels") or " at " in k for k in keys)


@settings(max_examples=60)
@given(st.data())
def test_any_choice_of_parts_reads_without_an_error(data: st.DataObject) -> None:
    from reading import read

    questions = interview()
    question = next(questions)
    while True:
        typed = question.default
        if question.choices:
            typed = data.draw(st.sampled_from([answer for answer, _ in question.choices]))
        elif "Control cavity" in question.words:
            typed = data.draw(st.sampled_from([UNMEASURED, "120 x 80"]))
        elif "Title" in question.words:
            typed = data.draw(st.text(st.characters(codec="latin-1", exclude_categories=["C"]), max_size=30))
            typed = typed if typed.strip(" -\xa0\x85") else "T"
        try:
            question = questions.send(question.read(typed))
        except StopIteration as done:
            build, problems = read(build_text(done.value))
            break
    assert build is not None
    assert [p.text() for p in problems if p.severity is not Severity.NOTE] == []
