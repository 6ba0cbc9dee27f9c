"""The wiring found, guessed from readings at the plug and the parts that are there."""

from __future__ import annotations

import math
import random
from pathlib import Path

import pytest
from circuits import built, sample

from diagramgen.diagnosis.observations import Reading, read_observation
from diagramgen.features.guess.compute import _run, guess, simulated_wiring
from diagramgen.features.guess.usual_wirings import parts_of, usual_wirings, wired

SAMPLES = Path(__file__).resolve().parents[2] / "samples"

TWO = """
format: 1
title: two pickups, two volumes
parts:
  neck: single-coil, 7k
  bridge: single-coil, 7.5k
  neck-volume: pot-24, 500k log
  bridge-volume: pot-24, 500k log
  selector: toggle-upright
  output: jack-mono-open
leads:
  - neck.finish -> output.tip
"""


def test_ordinary_and_independent_volumes_read_as_a_technician_knows_them() -> None:
    """bench check 2: 3.57k in the middle; neck volume at 0 mutes both, or leaves 7.28k (computed, common practice)."""
    made = built(TWO)
    found = {u.choices[-1][1]: _run(wired(made, u)) for u in usual_wirings(parts_of(made))
             if ("neck is on", "selector up") in u.choices}
    ordinary = found["a volume each, either at 0 silences both"]
    independent = found["a volume each, independent"]
    names = [s.name for s in ordinary.wiring.settings]
    middle = next(i for i, s in enumerate(ordinary.wiring.states) if s["selector"] == "middle")
    up = next(i for i, s in enumerate(ordinary.wiring.states) if s["selector"] == "up")
    neck = names.index("neck-volume.turn")
    assert ordinary.ohms[0, 0, middle] == pytest.approx(3570, rel=2e-3)
    assert ordinary.ohms[0, neck, middle] == 0
    assert independent.ohms[0, neck, middle] == pytest.approx(7280, rel=2e-3)
    assert independent.ohms[0, neck, up] == pytest.approx(500e3, rel=1e-6)


@pytest.mark.parametrize("name", ["two-pickups-toggle", "one-volume", "left-handed", "three-singles-lever"])
def test_each_usual_wiring_is_guessed_from_its_own_readings(name: str) -> None:
    made = sample(SAMPLES / f"{name}.yaml")
    wirings = list(usual_wirings(parts_of(made)))
    rng = random.Random(9)
    for usual in rng.sample(wirings, min(5, len(wirings))):
        run = _run(wired(made, usual))
        observations = []
        for k in range(len(run.wiring.settings)):
            for s in range(len(run.wiring.states)):
                ohms = float(run.ohms[0, k, s])
                read = ohms * math.exp(rng.gauss(0, 0.005)) if 0 < ohms < math.inf else ohms
                observations.append(Reading(s, k, read))
        found = guess(made, observations)
        assert any(usual.choices == u.choices for g in found.guesses[:3] for u in g.usual), usual.words


def test_what_reads_alike_stands_together_and_says_where_to_look() -> None:
    made = built(TWO)
    laid = simulated_wiring(made).wiring
    found = guess(made, [read_observation("selector=up: 6.9k", laid), read_observation("selector=down: 7.39k", laid)])
    assert "neck is on: selector up" in found.guesses[0].usual[0].words
    assert any(line.startswith("volume:") for line in found.look)
    assert found.question is not None
    assert "read the plug" in found.question.words


def test_readings_of_no_usual_wiring_are_said_to_be_none() -> None:
    made = built(TWO)
    laid = simulated_wiring(made).wiring
    found = guess(made, [read_observation(x, laid) for x in ("selector=up: 120", "selector=middle: 2.2M",
                                                       "selector=down: 64k")])
    assert found.other > 0.5
    assert "None of the usual wirings" in found.verdict


def test_a_build_without_pickups_or_jack_says_so() -> None:
    text = "format: 1\ntitle: t\nparts:\n  {}\n  volume: pot-24\nleads:\n  - volume.zero -> volume.case, bend\n"
    with pytest.raises(ValueError, match="no output jack"):
        parts_of(built(text.format("pickup: single-coil")))
    with pytest.raises(ValueError, match="no pickup"):
        parts_of(built(text.format("output: jack-mono-open")))
