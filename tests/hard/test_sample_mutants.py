"""A seeded share of the mutants of the samples' files; ``tools/mutate_samples.py`` makes all of them."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tools"))

import mutate_samples  # noqa: E402

from diagramgen.kernel.diagnostics import Diagnostics, Location  # noqa: E402
from diagramgen.yamlfile.codes import INP_101  # noqa: E402


def test_mutants_of_the_samples_are_right_or_a_clear_problem_with_a_place() -> None:
    tally, failures = mutate_samples.run(150, 1, 20240612)
    assert failures == []
    assert sum(tally.values()) == 151
    for operation in mutate_samples.OPERATIONS:
        assert sum(n for words, n in tally.items() if words.startswith(operation)) > 10
    assert sum(n for words, n in tally.items() if words.endswith("refused")) > 50


@pytest.mark.parametrize(("message", "place"), [
    ("", Location("a.yaml", 1, 1)), ("KeyError: 'x'", Location("a.yaml", 1, 1)), ("wrong", Location("", 1, 1)),
    ("wrong", Location("a.yaml", 99, 1)),
])
def test_a_problem_that_is_not_clear_is_seen(message: str, place: Location) -> None:
    say = Diagnostics()
    say.add(INP_101, place, message)
    with pytest.raises(AssertionError):
        mutate_samples.clear(say, b"a: 1\n", taken=True)


def test_a_refusal_without_a_word_is_seen() -> None:
    with pytest.raises(AssertionError, match="without a word"):
        mutate_samples.clear(Diagnostics(), b"a: 1\n", taken=False)
