"""ngspice on every state of every sample: each coil's transfer at 46 frequencies and the meter's reading.

The netlist is written from the build by code that shares neither nets nor solver with the program's own answers.
"""

from __future__ import annotations

import random
import re
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from circuits import built, readable, sample

from diagramgen.circuit.dc_readings import MeterConditions, read
from diagramgen.circuit.dc_supply import supply
from diagramgen.circuit.netlist import netlist_of, template_of
from diagramgen.circuit.nodal import sweep
from diagramgen.circuit.states import classes_of, state_space
from diagramgen.circuit.values import SOUNDING, elements_of, knobs_of, source_name
from diagramgen.features.netlist.spice import netlist, plain
from diagramgen.model.build import Build, End

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


PASSIVE = """
parts:
  neck: single-coil, 6k5
  saddle: contact-transducer
  volume: pot-24, 250k log
  output: {jack}
{more}leads:
  - neck.finish -> volume.ten
  - neck.start -> volume.case
  - volume.zero -> volume.case
  - volume.wiper -> output.tip
  - volume.case -> output.sleeve
  - saddle.shield -> volume.case
"""
BOTH_JACKS = PASSIVE.format(jack="jack-mono-open", more="  link: toggle-mini-spdt-on-on\n"
                            "  second: jack-mono-open\n") + (
    "  - second.sleeve -> volume.case\n  - saddle.hot -> second.tip\n  - link.common -> output.tip\n"
    "  - link.throw 1 -> second.tip\n")
TIP_AND_RING = PASSIVE.format(jack="jack-stereo-open", more="") + "  - saddle.hot -> output.ring\n"
ACTIVE_SECOND = PASSIVE.format(jack="jack-mono-open", more="  board: buffer-board\n  battery: battery-9v\n"
                               "  second: jack-stereo-open\n") + (
    "  - saddle.hot -> board.in\n  - board.ground -> volume.case\n  - board.out -> second.tip\n"
    "  - second.sleeve -> volume.case\n  - battery.plus -> board.plus\n  - battery.minus -> second.ring\n")


def run(deck: str, folder: Path) -> None:
    path = folder / "deck.cir"
    path.write_text(deck, encoding="ascii")
    done = subprocess.run([str(NGSPICE), "-b", str(path)], cwd=folder, capture_output=True, text=True, timeout=120,
                          check=False)
    assert "Error" not in done.stderr, done.stderr + done.stdout
    assert "singular" not in (done.stderr + done.stdout).lower(), done.stderr


def commands(sources: list[str], ohms: bool, losses: str, out: str = "tip") -> str:
    lines = [".control", "set wr_singlescale", "set numdgt = 16"]
    for i, source in enumerate(sources):
        lines += [f"alter @{source}[acmag] = 1", "ac dec 15 20 20k", f"wrdata t{i}.txt v({out})",
                  f"alter @{source}[acmag] = 0"]
    if ohms:
        # Core loss is no conductor: a meter does not see it.
        lines += [f"alter @r_{s[2:]}_loss[resistance] = 1e16" for s in sources if f"r_{s[2:]}_loss" in losses]
        # Nor is anything plugged in elsewhere while it is metered.
        loads = sorted(set(re.findall(r"^r_amplifier_\w+", losses, re.MULTILINE)))
        lines += [f"alter @{load}[resistance] = 1e16" for load in loads]
        lines += ["alter @i_meter[dc] = 1", "op", f"wrdata ohms.txt v({out})"]
    return "\n".join([*lines, ".endc"])


def compare(made: Build, knobs: dict[str, float], folder: Path, most: int = 10**6) -> float:
    """Largest relative error over all states of a build, or over ``most`` of them evenly."""
    worst = 0.0
    names = [source_name(p, e) for p, e in elements_of(made, *SOUNDING)]
    here = template_of(made, knobs)
    states = state_space(made)
    for index, state in states.each():
        classes = classes_of(here, states.switches, states.numbers(index))
        plugs = states.plugs(index)
        if index % max(1, states.count // most):
            continue
        for output in here.heard(plugs):
            net = netlist_of(here, classes, plugs, supply(here, classes).powered, output=output)
            reading = read(here, classes, output.lug, output.sleeve, MeterConditions(20, 0))
            bare = netlist(made, state, knobs, "", output.lug)
            heard = [n for n in names if f"\nv_{plain(n)} " in bare]
            metered = reading.kind == "value" and f"r_amplifier_{output.contact}" in bare
            told = commands([f"v_{plain(n)}" for n in heard], metered, bare, output.contact)
            run(netlist(made, state, knobs, told, output.lug), folder)
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


@pytest.mark.parametrize("text", [BOTH_JACKS, TIP_AND_RING, ACTIVE_SECOND], ids=["both", "ring", "active"])
@pytest.mark.parametrize("knobs", [{}, {"volume.turn": 4.0}], ids=["rest", "down"])
def test_every_output_of_a_build_with_several_is_what_ngspice_gives(
    text: str, knobs: dict[str, float], tmp_path: Path
) -> None:
    made = built(text)
    assert len(template_of(made).outputs) == 2
    compare(made, knobs, tmp_path)


def transfer_error(rows: np.ndarray, name: str, net: object) -> float:
    frequencies, theirs = rows[:, 0], rows[:, 1] + 1j * rows[:, 2]
    assert len(frequencies) >= 40
    response = sweep(net, frequencies)  # type: ignore[arg-type]
    if name in response.sources and response.transfers.any():
        ours = response.transfers[:, response.sources.index(name)]
        error = np.abs(theirs - ours) / np.abs(ours)
    else:
        # A coil we know to be silent is heard through the resistance of closed contacts: held against the others.
        others = np.abs(response.transfers).max(axis=1, initial=0.0)
        error = np.abs(theirs) / np.where(others > 0, others, 1.0) * AGREE / THROUGH_CONTACTS
    assert error.max() <= AGREE, (name, error.max(), frequencies[error.argmax()])
    return float(error.max())


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_every_state_of_every_sample_agrees_with_ngspice(path: Path, tmp_path: Path) -> None:
    assert compare(sample(path), {}, tmp_path) <= AGREE


@pytest.mark.parametrize("turn", [0.0, 4.0, 7.0])
@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_turned_knobs_agree_with_ngspice(path: Path, turn: float, tmp_path: Path) -> None:
    made = sample(path)
    # A build of very many states is held in some of them here; with its knobs at 10 in all of them above.
    most = 8 if state_space(made).count > 24 else 24
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
    deck = netlist(made, state_space(made).state(0))
    (tmp_path / "a.cir").write_text(deck, encoding="ascii")
    done = subprocess.run([str(NGSPICE), "-b", "a.cir"], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert "ohms between tip and sleeve" in done.stdout
    assert "vdb(tip)" in done.stdout


def test_the_netlist_is_written_without_our_networks_and_solver() -> None:
    text = (ROOT / "diagramgen" / "features" / "netlist" / "spice.py").read_text(encoding="utf-8")
    own = ("netlist", "nodal", "nets", "dc_readings", "dc_supply", "blocks", "state_table", "states")
    assert not any(f"circuit.{m}" in text for m in own)
