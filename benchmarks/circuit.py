"""Times the circuit solver against ngspice: 960 distinct networks x 200 frequencies, and the largest sample.

    python benchmarks/circuit.py

Ratios of processor time in one run on one machine. The reference has switches of 1 milliohm and 1 gigaohm and
answers with one sum of all coils a state; we answer with every coil's transfer and the impedance at the jack.
Agreement is tested elsewhere (tests/outside). Without ngspice only our own times are printed.
"""

from __future__ import annotations

import os
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from diagramgen.circuit.dc_supply import supply
from diagramgen.circuit.netlist import Netlist, netlist_of, template_of
from diagramgen.circuit.nodal import sweep_many
from diagramgen.circuit.state_table import state_table
from diagramgen.circuit.states import each_classes, state_space
from diagramgen.features.netlist import spice
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.library import catalogue
from diagramgen.model.build import Build
from diagramgen.reader.reader import read_build

ROOT = Path(__file__).resolve().parent.parent
LARGEST = ROOT / "samples" / "baritone.yaml"
FREQUENCIES = np.linspace(100.0, 20_000.0, 200)
SWEEP = "ac lin 200 100 20000"
ROUNDS = 5


def generated(coils: int = 5) -> str:
    """Coils in series, a toggle across each that adds a capacitor, a lever for the load, two more toggles."""
    parts, leads = [], []
    for i in range(1, coils + 1):
        parts += [f"c{i}: {{symbol: single-coil, value: {4 + i}k, values: {{kick: plus}}}}",
                  f"s{i}: toggle-mini-spdt-on-on", f"k{i}: capacitor-film, {i}n"]
        leads += [f"c{i}.finish -> {'volume.ten' if i == 1 else f'c{i - 1}.start'}", f"s{i}.common -> c{i}.finish",
                  f"s{i}.throw 1 -> k{i}.one", f"k{i}.other -> c{i}.start"]
    parts += ["lever: lever-open-5", "cut: toggle-mini-spdt-on-off-on", "more: toggle-mini-spdt-on-on",
              "volume: pot-24, 500k log", "tone: pot-24, 250k log", "cap: capacitor-film, 22n",
              "output: jack-mono-open"]
    parts += [f"r{i}: resistor, {100 * i}k" for i in range(1, 7)]
    leads += [f"c{coils}.start -> output.sleeve", "volume.zero -> output.sleeve", "volume.wiper -> output.tip",
              "tone.wiper -> volume.ten", "tone.zero -> cap.one", "cap.other -> output.sleeve",
              "lever.a common -> volume.ten", *(f"lever.a {i} -> r{i}.one" for i in (1, 2, 3)),
              "cut.common -> c1.start", "cut.throw 1 -> r4.one", "cut.throw 2 -> r5.one",
              "more.common -> c2.start", "more.throw 1 -> r6.one",
              *(f"r{i}.other -> output.sleeve" for i in range(1, 7))]
    lines = ["format: 1", "parts:", *(f"  {p}" for p in parts), "leads:", *(f"  - {x}" for x in leads)]
    return "\n".join(lines) + "\n"


def read(data: bytes, folder: Path) -> Build:
    say = Diagnostics()
    known = catalogue.shipped()
    known.say = say
    made = read_build(data, "bench.yaml", Sources(folder), known, say)
    if made is None or say.has_errors:
        sys.exit("\n".join(p.text() for p in say.sorted()))
    return made


def networks(made: Build) -> list[Netlist]:
    here, states = template_of(made), state_space(made)
    found: dict[object, Netlist] = {}
    for index, classes in enumerate(each_classes(here, states.switches)):
        plugs = states.plugs(index)
        if not here.heard(plugs):
            continue
        net = netlist_of(here, classes, plugs, supply(here, classes).powered)
        found.setdefault(net.key, net)
    return list(found.values())


def best(task: object, rounds: int = ROUNDS) -> float:
    times = []
    for _ in range(rounds):
        start = time.process_time()
        task()  # type: ignore[operator]
        times.append(time.process_time() - start)
    return min(times)


def decks(made: Build) -> tuple[str, list[str]]:
    """A netlist with every contact of the build, and for each state the contacts' resistors as commands."""
    spice.CLOSED, spice.OPEN = 1e-3, 1e9
    states = state_space(made)
    alters = []
    text = ""
    for _, state in states.each():
        text = spice.netlist(made, state, {}, "")
        alters.append({m[1]: m[2] for m in re.finditer(r"(?m)^(r_\S+_contact_\d+) \S+ \S+ (\S+)$", text)})
    # The reference keeps one topology, so every contact that any state has stands in the deck.
    names = dict.fromkeys(n for a in alters for n in a)
    commands = ["\n".join(f"alter @{n}[resistance] = {a.get(n, '1e+09')}" for n in names) for a in alters]
    return text.replace(" ac 0", " ac 1").replace("\n.end\n", "\n"), commands


def spice_time(deck: str, commands: list[str], folder: Path, one_process: bool) -> float:
    head = "set filetype = binary\nsave v(tip)\n"
    runs = [commands] if one_process else [[c] for c in commands]
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    for i, chunk in enumerate(runs):
        body = "\n".join(f"{c}\n{SWEEP}\ndestroy all" for c in chunk)
        path = folder / f"d{i}.cir"
        path.write_text(f"{deck}\n.control\n{head}{body}\n.endc\n.end\n", encoding="ascii")
        subprocess.run(["ngspice", "-b", str(path)], capture_output=True, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def compare(name: str, made: Build) -> None:
    states = state_space(made)
    nets = networks(made)
    sweep_many(nets[:8], FREQUENCIES)
    given = best(lambda: sweep_many(nets, FREQUENCIES))
    whole = best(lambda: sweep_many(networks(made), FREQUENCIES), 3)
    print(f"{name}: {states.count} states, {len(nets)} networks x {len(FREQUENCIES)} frequencies")
    print(f"  networks given    {given * 1000:8.1f} ms")
    print(f"  from the build    {whole * 1000:8.1f} ms")
    start = time.process_time()
    state_table(made)
    took = (time.process_time() - start) * 1000
    print(f"  whole chart       {took:8.1f} ms   (words, phase, hum, readings, 401 points)")
    if shutil.which("ngspice"):
        with tempfile.TemporaryDirectory() as folder:
            deck, commands = decks(made)
            single = spice_time(deck, commands, Path(folder), True)
            each = spice_time(deck, commands[::max(1, len(commands) // 60)], Path(folder), False)
        each *= len(commands) / len(commands[::max(1, len(commands) // 60)])
        print(f"  one ngspice, alter{single * 1000:9.1f} ms   {single / given:5.1f} x networks given, "
              f"{single / whole:.1f} x from the build   (goals 10 and 5)")
        print(f"  ngspice a state   {each * 1000:8.0f} ms   {each / given:5.0f} x networks given   "
              "(some states, scaled up)")


def main() -> None:
    compare("generated", read(generated().encode(), ROOT))
    compare(LARGEST.stem, read(LARGEST.read_bytes(), LARGEST.parent))
    print("growth with states (whole chart):")
    for coils in (2, 3, 4, 5, 6):
        made = read(generated(coils).encode(), ROOT)
        start = time.process_time()
        found = state_table(made)
        took = time.process_time() - start
        print(f"  {len(made.parts):3d} parts {found.count:5d} states {found.networks:5d} networks "
              f"{took * 1000:8.0f} ms {took / found.networks * 1e6:6.0f} us a network")
    print(f"most memory: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB (goal: under 200)")


if __name__ == "__main__":
    main()
