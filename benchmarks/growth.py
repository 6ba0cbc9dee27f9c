"""How the whole run grows with the number of leads, at a constant density of leads, stage by stage.

Builds of about 10, 40 and 160 leads from ``generate_build.py``; CPU time of reading, checking, placing, routing,
composing and writing in one process after a run to warm up. Goal: near linear (exponent at most 1.2; 1.5 is too much).
``growth.py [SEEDS]``: how many builds of each size (2).
"""

from __future__ import annotations

import math
import sys
import tempfile
from pathlib import Path

from generate_build import build_text
from print_time import Stages, watched

from diagramgen.analysis import examine
from diagramgen.sheets.printing import compose
from diagramgen.sheets.sheet_kind import Request

SIZES = (10, 40, 160)


def run(build: Path) -> tuple[int, dict[str, float]]:
    """The number of leads, and CPU time by stage of the whole print, s."""
    stages = Stages()
    undo = [stages.wrap(module, name, stage) for module, name, stage in watched()]
    try:
        with stages.stage("solve and rest"):
            proof = examine(build)
        if proof.layout is None or proof.has_errors:
            sys.exit("\n".join(p.text() for p in proof.problems))
        with stages.stage("compose"):
            compose(proof, Request())
    finally:
        for back in undo:
            back()
    return len(proof.layout.leads), stages.spent


def main() -> None:
    seeds = range(1, 1 + (int(sys.argv[1]) if len(sys.argv) > 1 else 2))
    found: list[tuple[int, dict[str, float]]] = []
    with tempfile.TemporaryDirectory() as folder:
        build = Path(folder) / "build.yaml"
        build.write_text(build_text(10, 99), encoding="utf-8")
        run(build)
        for size in SIZES:
            runs = []
            for seed in seeds:
                build.write_text(build_text(size, seed), encoding="utf-8")
                runs.append(run(build))
            leads = runs[0][0]
            mean = {stage: sum(r[1][stage] for r in runs) / len(runs) for stage in runs[0][1]}
            found.append((leads, mean))
            shares = ", ".join(f"{stage} {spent:.2f}" for stage, spent in mean.items())
            total = sum(mean.values())
            print(f"{leads:4d} leads: {total:6.2f} s, {1000 * total / leads:4.0f} ms a lead ({shares})", flush=True)
    for a, b in ((0, 1), (1, 2), (0, 2)):
        (n, before), (m, after) = found[a], found[b]
        steps = math.log(m / n)
        each = ", ".join(f"{s} {math.log(after[s] / before[s]) / steps:.2f}" for s in after if before[s] > 0.02)
        whole = math.log(sum(after.values()) / sum(before.values())) / steps
        print(f"{n} to {m} leads: exponent {whole:.2f} ({each})")
    print(f"goal: exponent over all <= 1.2: {'kept' if whole <= 1.2 else 'MISSED'}")


if __name__ == "__main__":
    main()
