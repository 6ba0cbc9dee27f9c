"""All single faults in every state against the faultless solve, growth, and how many measurements find a fault.

    python benchmarks/faults.py [--rounds N]
"""

from __future__ import annotations

import argparse
import math
import random
import time
from pathlib import Path

import numpy as np

from diagramgen.circuit.state_table import state_table
from diagramgen.diagnosis.fault_model import fault_model
from diagramgen.diagnosis.observations import Reading
from diagramgen.diagnosis.posterior import groups, posterior
from diagramgen.diagnosis.simulate import FaultRun, simulate
from diagramgen.features.faults.fault_kinds import single_faults
from diagramgen.features.faults.next_question import questions
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.library import catalogue
from diagramgen.model.build import Build
from diagramgen.reader.reader import read_build

SAMPLES = Path(__file__).resolve().parent.parent / "samples"
GOAL = 20.0
SURE = 0.9


def build_of(path: Path) -> Build:
    say = Diagnostics()
    known = catalogue.shipped()
    known.say = say
    made = read_build(path.read_bytes(), str(path), Sources(path.parent), known, say)
    assert made is not None
    return made


def best_of(call, times: int = 3) -> float:  # type: ignore[no-untyped-def]
    found = []
    for _ in range(times):
        start = time.process_time()
        call()
        found.append(time.process_time() - start)
    return min(found)


def speed(name: str) -> FaultRun:
    made = build_of(SAMPLES / f"{name}.yaml")
    laid = fault_model(made)
    faults = single_faults(laid)
    plain = best_of(lambda: state_table(made))
    every = best_of(lambda: simulate(fault_model(made), single_faults(fault_model(made))))
    run = simulate(laid, faults)
    print(f"{name:24} {len(faults):4} faults x {len(laid.states):3} states x {len(laid.settings)} settings of the "
          f"knobs: {every:.3f} s, {every / plain:.1f} x the faultless solve (goal {GOAL:g} x on the largest); "
          f"{run.networks} networks, {1e6 * every / (len(faults) * len(laid.states)):.0f} us a fault and state")
    return run


def measured(run: FaultRun, true: int, rng: random.Random, choose: str) -> int:
    """Measurements until the group of the true fault is sure; readings at the plug with 1 % noise."""
    of = groups(run)
    observations: list[Reading] = []
    places = [(s, k) for s in range(min(len(run.wiring.states), 24)) for k in range(len(run.wiring.settings))
              if not np.isnan(run.ohms[0, k, s])]
    while places:
        found = posterior(run, observations)
        share = np.zeros(of.max() + 1)
        np.add.at(share, of, found.probability)
        if share.max() > SURE and choose != "everything":
            return len(observations)
        if choose == "best":
            asked = [a.observation for q in sorted(questions(found), key=lambda q: -q.bits / q.cost)
                     for a in q.answers[:1] if isinstance(a.observation, Reading)]
            if not asked:
                return len(observations)
            place = (asked[0].state, asked[0].setting)
        else:
            place = places[rng.randrange(len(places))] if choose == "random" else places[0]
        places.remove(place)
        ohms = float(run.ohms[true, place[1], place[0]])
        observations.append(Reading(*place, ohms * math.exp(rng.gauss(0, 0.01)) if 0 < ohms < math.inf else ohms))
    return len(observations)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--rounds", type=int, default=40)
    rounds = parser.parse_args().rounds
    runs = {n: speed(n) for n in ("one-volume", "left-handed", "two-pickups-toggle", "bass-active", "baritone")}
    for name in ("two-pickups-toggle", "left-handed"):
        run = runs[name]
        chosen = random.Random(3).sample(range(1, len(run.faults)), rounds)
        means = {way: sum(measured(run, t, random.Random(t), way) for t in chosen) / rounds
                 for way in ("best", "random", "everything")}
        print(f"{name}: measurements until one group is sure, mean of {rounds} faults: "
              + ", ".join(f"{way} {mean:.1f}" for way, mean in means.items()))


if __name__ == "__main__":
    main()
