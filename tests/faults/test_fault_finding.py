"""From what is seen to the fault: ranking, groups, the next measurement, and what does not fit."""

from __future__ import annotations

import math
import random
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from circuits import built, sample
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagramgen.diagnosis.fault_model import fault_model
from diagramgen.diagnosis.observations import BadObservation, Between, Reading, read_observation
from diagramgen.diagnosis.posterior import groups, posterior
from diagramgen.diagnosis.simulate import FaultRun, simulate
from diagramgen.features.faults.compute import Finding, find
from diagramgen.features.faults.fault_kinds import single_faults

ROOT = Path(__file__).resolve().parent.parent.parent


@cache
def run_of(name: str) -> FaultRun:
    laid = fault_model(sample(ROOT / "samples" / f"{name}.yaml"))
    return simulate(laid, single_faults(laid))


def seen(run: FaultRun, *lines: str) -> Finding:
    return find(run, [read_observation(line, run.wiring) for line in lines])


def best(found: Finding) -> str:
    return found.fault(found.groups[0].faults[0][0]).key


def keys(found: Finding, first: int) -> set[str]:
    return {found.fault(i).key for g in found.groups[:first] for i, _ in g.faults}


PUSH_PULL = """
format: 1
title: Dual coil split by a push-pull
parts:
  pickup: {symbol: dual-coil, value: 4k 4k}
  volume: pot-24-push-pull, 500k log
  output: jack-mono-open
leads:
  - pickup.a start -> volume.ten
  - pickup.a finish -> pickup.b finish
  - pickup.a finish -> volume.a common, white
  - volume.a near -> volume.case, bare
  - pickup.b start -> volume.case
  - pickup.bare -> volume.case
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip, red
  - volume.case -> output.sleeve, black
"""


def test_an_open_series_link_is_among_the_first_three_for_dead_in_series_and_alive_when_split() -> None:
    """Pushed dead, the plug reads the pot; pulled it sounds (common practice, no source)."""
    laid = fault_model(built(PUSH_PULL))
    run = simulate(laid, single_faults(laid))
    key = next(d.keys[0] for d in laid.space.switches if d.kind == "switch")
    link = next(x for x in laid.build.leads if {x.start.lug, x.end.lug} == {"a finish", "b finish"})
    states = {laid.states[i][key]: run.ohms[0, 0, i] for i in range(len(laid.states))}
    series = max(states, key=lambda s: states[s])
    split = min(states, key=lambda s: states[s])
    found = find(run, [read_observation(x, laid) for x in (f"{key}={series}: silent", f"{key}={series}: 500k",
                                                     f"{key}={split}: right")])
    names = [found.fault(i).tags for i, _ in sorted((x for g in found.groups for x in g.faults), key=lambda x: -x[1])]
    assert (link.tag,) in names[:3]


def test_the_pot_alone_at_the_plug_says_that_the_coil_is_off() -> None:
    found = seen(run_of("two-pickups-toggle"), "selector=up: 500k", "selector=down: 8.6k", "selector=middle: 8.4k")
    assert "open W01 neck.a start neck-volume.ten" in keys(found, 1)
    assert all("neck" in found.fault(i).words for i, _ in found.groups[0].faults)
    assert found.groups[0].probability > 0.9
    assert found.groups[0].telling


def test_what_should_be_is_called_so() -> None:
    run = run_of("two-pickups-toggle")
    ohms = [f"selector={s['selector']}: {run.ohms[0, 0, i]:.0f}" for i, s in enumerate(run.wiring.states)]
    assert "as it should be" in seen(run, *ohms).verdict


def test_k_written_for_m_or_left_out_is_asked_about() -> None:
    found = seen(run_of("two-pickups-toggle"), "selector=up: 7.8")
    assert any("7.8 kΩ would fit" in w for w in found.warnings)


def test_readings_no_single_fault_explains_are_said_to_be_so() -> None:
    found = seen(run_of("two-pickups-toggle"), "selector=up: 77", "selector=down: 1.7k", "selector=middle: 31k",
                 "selector=up, neck-volume=0: 3.3M")
    assert "No single fault" in found.verdict
    assert found.judged.outside > 0.5


def test_with_nothing_seen_the_first_measurement_is_named() -> None:
    found = find(run_of("one-volume"), [])
    assert found.question is not None
    assert "read the plug" in found.question.words
    assert "Nothing was seen" in found.verdict


@pytest.mark.parametrize("line", ["selector=up", "selector=sideways: 7k", "selektor=up: 7k", "selector=up: 7,9k",
                                  "neck-volume: loud", "nothing: open", "neck.finnish to selector.up: open",
                                  "selector=up, neck-volume=5: 7k", "selector=up: banana", ": ", "strings: perhaps"])
def test_what_cannot_be_read_says_why_and_what_to_write(line: str) -> None:
    run = run_of("two-pickups-toggle")
    with pytest.raises(BadObservation) as fault:
        read_observation(line, run.wiring)
    assert fault.value.message
    assert fault.value.remedy


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(0, 10**6))
def test_a_true_measurement_never_raises_an_excluded_fault_above_one_it_fits(seed: int) -> None:
    rng = random.Random(seed)
    run = run_of("three-singles-lever")
    true = rng.randrange(1, len(run.faults))
    places = [(s, k) for s in range(len(run.wiring.states)) for k in range(len(run.wiring.settings))]
    observations = [Reading(s, k, float(run.ohms[true, k, s])) for s, k in rng.sample(places, 3)]
    before, after = posterior(run, observations[:-1]), posterior(run, observations)
    excluded = after.likelihoods[:, -1] < after.likelihoods[true, -1] - 5
    kept = np.abs(after.likelihoods[:, -1] - after.likelihoods[true, -1]) < 1e-9
    for wrong in np.flatnonzero(excluded)[:40]:
        for right in np.flatnonzero(kept)[:10]:
            if before.probability[right] >= before.probability[wrong]:
                assert after.probability[right] >= after.probability[wrong]


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(0, 10**6))
def test_following_the_questions_ends_at_the_fault_or_its_group(seed: int) -> None:
    rng = random.Random(seed)
    run = run_of("two-pickups-toggle")
    of = groups(run)
    true = rng.randrange(1, len(run.faults))
    observations: list[Reading | Between] = []
    for _ in range(14):
        found = find(run, observations, of)
        if found.question is None:
            break
        own = next((a for a in found.question.answers if true in a.faults), None)
        if own is None:
            break
        observation = own.observation
        if isinstance(observation, Reading):
            ohms = float(run.ohms[true, observation.setting, observation.state])
            observation = Reading(observation.state, observation.setting, ohms * math.exp(rng.gauss(0, 0.01)))
        observations.append(observation)  # type: ignore[arg-type]
    found = find(run, observations, of)
    listed = [i for g in found.groups[:3] for i, _ in g.faults]
    assert true in listed, (run.faults[true].key, [run.faults[i].key for i in listed])


def test_what_reads_five_per_cent_apart_beyond_tolerance_stands_in_groups_of_its_own() -> None:
    run = run_of("two-pickups-toggle")
    of = groups(run)
    number = {f.key: i for i, f in enumerate(run.faults)}
    kinds = ["coil open neck.a open 1.0", "coil shorted neck.a", "case neck-volume.ten case", "none",
             "coil part shorted neck.a half 1.0"]
    assert len({int(of[number[k]]) for k in kinds}) == len(kinds)
    assert of.max() + 1 > 20


def test_one_reading_that_no_single_fault_gives_leaves_doubt_about_the_list() -> None:
    found = seen(run_of("two-pickups-toggle"), "selector=up: 31k")
    assert found.judged.outside > 0.3
