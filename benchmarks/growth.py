"""How the whole run grows with the number of leads, at a constant density of leads.

Builds of about 10, 40 and 160 leads from ``generate_build.py``; CPU time of reading, checking, placing, routing,
composing and writing in one process after a run to warm up. Goal: near linear (exponent at most 1.2).
"""

from __future__ import annotations

import math
import sys
import tempfile
import time
from pathlib import Path

from generate_build import build_text

from diagramgen import pipeline

SIZES = (10, 40, 160)
SEEDS = (1, 2)


def run(build: Path) -> tuple[float, float, int]:
    """CPU time of examining and of composing, s, and the number of leads."""
    begin = time.process_time()
    proof = pipeline.examine(build)
    middle = time.process_time()
    if proof.layout is None or proof.has_errors:
        sys.exit("\n".join(p.text() for p in proof.problems))
    pipeline.compose(proof, pipeline.Request())
    return middle - begin, time.process_time() - middle, len(proof.layout.leads)


def main() -> None:
    found: list[tuple[int, float, float]] = []
    with tempfile.TemporaryDirectory() as folder:
        build = Path(folder) / "build.yaml"
        build.write_text(build_text(10, 99), encoding="utf-8")
        run(build)
        for size in SIZES:
            runs = []
            for seed in SEEDS:
                build.write_text(build_text(size, seed), encoding="utf-8")
                runs.append(run(build))
            mean = [sum(r[i] for r in runs) / len(runs) for i in range(2)]
            found.append((runs[0][2], mean[0], mean[1]))
            print(f"{runs[0][2]:4d} leads: examine {mean[0]:6.2f} s, compose and write {mean[1]:6.2f} s, "
                  f"{1000 * sum(mean) / runs[0][2]:5.0f} ms a lead")
    for a, b in ((0, 1), (1, 2), (0, 2)):
        (n, *before), (m, *after) = found[a], found[b]
        exponents = [math.log(y / x) / math.log(m / n) for x, y in zip(before, after, strict=True)]
        whole = math.log(sum(after) / sum(before)) / math.log(m / n)
        print(f"{n} to {m} leads: exponent {whole:.2f} (examine {exponents[0]:.2f}, compose {exponents[1]:.2f})")
    print(f"goal: exponent over all <= 1.2: {'kept' if whole <= 1.2 else 'MISSED'}")


if __name__ == "__main__":
    main()
