"""ngspice on every state of every sample: each coil's transfer at 46 frequencies and the meter's reading.

The netlist is written from the build by code that shares neither nets nor solver with the program's own answers.
"""

from __future__ import annotations

import random
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from circuits import readable, sample

from diagramgen.build.model import Build, End
from diagramgen.circuit.network import frame, network
from diagramgen.circuit.readings import Bench, read
from diagramgen.circuit.solve import direct, sweep
from diagramgen.circuit.spice import netlist, plain
from diagramgen.circuit.states import classes_of, space
from diagramgen.circuit.supply import supply
from diagramgen.circuit.values import SOUNDING, elements_of, knobs_of, source_name

ROOT = Path(__file__).resolve().parent.parent.parent
NGSPICE = shutil.which("ngspice")
AGREE = 1e-6
"""Largest relative error allowed."""
THROUGH_CONTACTS = 1e-5
"""What 0.2 milliohm of a closed contact let through of a coil that it shorts, at that coil's own resonance."""
pytestmark = pytest.mark.skipif(NGSPICE is None, reason="ngspice is not installed (apt-get install ngspice)")
SAMPLES = [p for p in sorted((ROOT / "samples").glob("*.yaml")) if readable(p)]


def test_there_are_samples_to_hold_against_ngspice() -> None:
    assert len(SAMPLES) >= 3


def run(deck: str, folder: Path) -> None:
    path = folder / "deck.cir"
    path.write_text(deck, encoding="ascii")
    done = subprocess.run([str(NGSPICE), "-b", str(path)], cwd=folder, capture_output=True, text=True, timeout=120,
                          check=False)
    assert "Error" not in done.stderr, done.stderr + done.stdout
    assert "singular" not in (done.stderr + done.stdout).lower(), done.stderr


def commands(sources: list[str], ohms: bool, losses: str) -> str:
    lines = [".control", "set wr_singlescale", "set numdgt = 16"]
    for i, source in enumerate(sources):
        lines += [f"alter @{source}[acmag] = 1", "ac dec 15 20 20k", f"wrdata t{i}.txt v(tip)",
                  f"alter @{source}[acmag] = 0"]
    if ohms:
        # Core loss is no conductor: a meter does not see it.
        lines += [f"alter @r_{s[2:]}_loss[resistance] = 1e16" for s in sources if f"r_{s[2:]}_loss" in losses]
        lines += ["alter @r_amplifier_tip[resistance] = 1e16", "alter @i_meter[dc] = 1", "op", "wrdata ohms.txt v(tip)"]
    return "\n".join([*lines, ".endc"])


def compare(made: Build, knobs: dict[str, float], folder: Path, most: int = 10**6) -> float:
    """Largest relative error over all states of a build, or over ``most`` of them evenly."""
    worst = 0.0
    names = [source_name(p, e) for p, e in elements_of(made, *SOUNDING)]
    here = frame(made, knobs)
    states = space(made)
    for index, state in states.each():
        classes = classes_of(here, states.digits, states.numbers(index))
        plug = states.plug(index)
        if plug == "out" or index % max(1, states.count // most):
            continue
        net = network(here, classes, plug, supply(here, classes).powered)
        tip, sleeve = f"{here.jack.name}.tip", f"{here.jack.name}.sleeve"  # type: ignore[union-attr]
        reading = read(here, classes, tip, sleeve, Bench(20, 0))
        bare = netlist(made, state, knobs, "")
        heard = [n for n in names if f"\nv_{plain(n)} " in bare]
        metered = reading.kind == "value" and "r_amplifier_tip" in bare
        run(netlist(made, state, knobs, commands([f"v_{plain(n)}" for n in heard], metered, bare)), folder)
        for i, name in enumerate(heard):
            rows = np.loadtxt(folder / f"t{i}.txt")
            worst = max(worst, transfer_error(rows, name, net))
        if metered:
            ohms = float(np.loadtxt(folder / "ohms.txt").ravel()[-1])
            # A closed contact has 0.2 milliohm, so a short reads a little.
            error = abs(ohms - (reading.ohms or 0)) / max(reading.ohms or 0, 1e3)
            assert error <= AGREE, (state, knobs, ohms, reading)
            worst = max(worst, error)
    return worst


def transfer_error(rows: np.ndarray, name: str, net: object) -> float:
    frequencies, theirs = rows[:, 0], rows[:, 1] + 1j * rows[:, 2]
    assert len(frequencies) >= 40
    worst = 0.0
    for method in (sweep, direct):
        response = method(net, frequencies)  # type: ignore[arg-type]
        if name in response.sources and response.transfers.any():
            ours = response.transfers[:, response.sources.index(name)]
            error = np.abs(theirs - ours) / np.abs(ours)
        else:
            # A coil we know to be silent is heard through the resistance of closed contacts: held against the others.
            others = np.abs(response.transfers).max(axis=1, initial=0.0)
            error = np.abs(theirs) / np.where(others > 0, others, 1.0) * AGREE / THROUGH_CONTACTS
        assert error.max() <= AGREE, (name, error.max(), frequencies[error.argmax()])
        worst = max(worst, float(error.max()))
    return worst


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_every_state_of_every_sample_agrees_with_ngspice(path: Path, tmp_path: Path) -> None:
    assert compare(sample(path), {}, tmp_path) <= AGREE


@pytest.mark.parametrize("turn", [0.0, 4.0, 7.0])
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_turned_knobs_agree_with_ngspice(path: Path, turn: float, tmp_path: Path) -> None:
    made = sample(path)
    # A build of very many states is held in some of them here; with its knobs at 10 in all of them above.
    most = 8 if space(made).count > 24 else 24
    assert compare(made, dict.fromkeys(knobs_of(made), turn), tmp_path, most=most) <= AGREE


@pytest.mark.parametrize("seed", range(20))
def test_builds_with_leads_moved_at_random_agree_with_ngspice(seed: int, tmp_path: Path) -> None:
    dice = random.Random(seed)
    made = sample(dice.choice(SAMPLES))
    lugs = [(p.name, lug) for p in made.parts.values() for lug in p.symbol.lug_names()]
    leads = list(made.leads)
    for _ in range(dice.randrange(1, 6)):
        i = dice.randrange(len(leads))
        end = End(*dice.choice(lugs), leads[i].place)
        leads[i] = replace(leads[i], start=end) if dice.random() < 0.5 else replace(leads[i], end=end)
    knobs = {knob: float(dice.choice([0, 3, 8, 10])) for knob in knobs_of(made)}
    assert compare(replace(made, leads=tuple(leads)), knobs, tmp_path, most=4) <= AGREE


def test_the_netlist_runs_as_it_is_and_says_levels_and_ohms(tmp_path: Path) -> None:
    made = sample(SAMPLES[0])
    deck = netlist(made, space(made).state(0))
    (tmp_path / "a.cir").write_text(deck, encoding="ascii")
    done = subprocess.run([str(NGSPICE), "-b", "a.cir"], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert "ohms between tip and sleeve" in done.stdout
    assert "vdb(tip)" in done.stdout


def test_the_netlist_is_written_without_our_networks_and_solver() -> None:
    text = (ROOT / "diagramgen" / "circuit" / "spice.py").read_text(encoding="utf-8")
    own = ("network", "solve", "graph", "readings", "supply", "paths", "chart", "states")
    assert not any(f"circuit.{m}" in text for m in own)
