"""The batched simulation of faults against the program's own solver, state by state."""

from __future__ import annotations

import math
import sys
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from circuits import readable, sample

from diagramgen.circuit.state_table import response_of, state_table
from diagramgen.diagnosis.edits import HERTZ
from diagramgen.diagnosis.fault_model import fault_model
from diagramgen.diagnosis.simulate import QUIET, FaultRun, simulate
from diagramgen.features.faults.fault_kinds import single_faults

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path.insert(0, str(ROOT / "tests" / "outside"))
SAMPLES = [p for p in sorted((ROOT / "samples").glob("*.yaml")) if readable(p)]


@cache
def simulated(path: Path) -> FaultRun:
    laid = fault_model(sample(path))
    return simulate(laid, single_faults(laid))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_without_a_fault_every_state_reads_as_the_sounds_chart_says(path: Path) -> None:
    run = simulated(path)
    for k, setting in enumerate(run.wiring.settings):
        found = state_table(run.wiring.build, dict(setting.knobs))
        by_state = {tuple(sorted(found.space.state(i).items())): found.result(i).reading for i in range(found.count)}
        for i, state in enumerate(run.wiring.states):
            keys = {k for k, _ in next(iter(by_state))}
            reading = by_state[tuple(sorted((k, v) for k, v in state.items() if k in keys))]
            mine = run.ohms[0, k, i]
            if reading.kind == "value":
                assert mine == pytest.approx(reading.ohms, rel=1e-9, abs=1e-6)
            else:
                assert math.isinf(mine) if reading.kind == "open" else math.isnan(mine)


@pytest.mark.parametrize("name", ["one-volume", "two-pickups-toggle", "bass-active"])
def test_coils_under_every_fault_are_as_loud_as_the_solver_says_of_the_faulty_build(name: str) -> None:
    from faulty import injected, possible

    run = simulated(ROOT / "samples" / f"{name}.yaml")
    compared = 0
    for i, fault in enumerate(run.faults[1:], start=1):
        if not possible(fault) or (fault.edit is not None and fault.edit.what in ("zero", "ten", "wiper")):
            continue
        if fault.kind == "open" or fault.key.startswith("value blend."):
            continue  # both gangs of the blend share one value in the file
        made = injected(run.wiring.build, fault)
        for s, state in enumerate(run.wiring.states):
            _, response = response_of(made, state, None, HERTZ)
            levels = dict.fromkeys(run.coil_names, QUIET)
            for column, source in enumerate(response.sources):
                power = np.mean(np.abs(response.transfers[HERTZ >= 150, column]) ** 2)
                levels[source] = max(QUIET, 10 * math.log10(max(power, 1e-30)))
            for column, coil in enumerate(run.coil_names):
                if max(levels[coil], run.coils[i, s, column]) > -90:
                    assert run.coils[i, s, column] == pytest.approx(levels[coil], abs=0.02), (fault.key, state, coil)
                    compared += 1
    assert compared > 10


def test_every_key_is_given_once_and_names_lugs_that_exist() -> None:
    for path in SAMPLES:
        run = simulated(path)
        keys = [f.key for f in run.faults]
        assert len(keys) == len(set(keys))
        assert all(lug in run.wiring.at for f in run.faults for lug in f.lugs)


def test_a_lever_position_that_joins_three_lugs_closes_two_contacts_on_the_common() -> None:
    run = simulated(ROOT / "samples" / "three-singles-lever.yaml")
    state = next(i for i, s in enumerate(run.wiring.states) if s["lever"] == "2")
    one = next(i for i, f in enumerate(run.faults) if f.key == "contact open lever.a common lever.a 1")
    middle = next(i for i, f in enumerate(run.faults) if f.key == "contact open lever.a common lever.a 2")
    alone = {s["lever"]: i for i, s in enumerate(run.wiring.states)}
    assert run.ohms[one, 0, state] == pytest.approx(run.ohms[0, 0, alone["3"]])
    assert run.ohms[middle, 0, state] == pytest.approx(run.ohms[0, 0, alone["1"]])


def test_a_dead_board_silences_what_goes_through_it_and_a_flat_battery_everything_behind_boards() -> None:
    run = simulated(ROOT / "samples" / "baritone.yaml")
    number = {f.key: i for i, f in enumerate(run.faults)}
    board = next(k for k in number if k.startswith("dead magnetic"))
    battery = next(k for k in number if k.startswith("dead battery"))
    states = run.level[0, 0] > -20
    assert states.any()
    for key in (board, battery):
        assert (run.level[number[key], 0, states] < run.level[0, 0, states] - 30).all(), key
