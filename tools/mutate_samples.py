"""Mutates the files of the samples, node by node: ``python tools/mutate_samples.py --count 20000 --printed 100``.

Every node of every build, price file and file of readings is dropped, doubled, swapped with another, renamed and made
another kind of node. Each mutant is read, checked and solved (a build), or read and held against its build. It must be
right, or a clear problem with a place: words, a file, and for an error a line of that file. Some are printed whole.
"""

from __future__ import annotations

import argparse
import random
import re
import shutil
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "tools")]

from mutations import OPERATIONS, Spot, Tree, mutant, spots, tree_of, written  # noqa: E402

from diagramgen.analysis import examine  # noqa: E402
from diagramgen.circuit.measured_values import metered  # noqa: E402
from diagramgen.circuit.proof import prove  # noqa: E402
from diagramgen.circuit.rules.connections import check_connections  # noqa: E402
from diagramgen.features.price.price_file import read_prices  # noqa: E402
from diagramgen.kernel.diagnostics import Diagnostics, Severity  # noqa: E402
from diagramgen.kernel.provenance import Sources  # noqa: E402
from diagramgen.library.catalogue import shipped  # noqa: E402
from diagramgen.reader.reader import read_build  # noqa: E402
from diagramgen.reader.results import read_results  # noqa: E402
from diagramgen.sheets.printing import compose  # noqa: E402
from diagramgen.sheets.sheet_kind import Request  # noqa: E402

SLOW = 5.0
"""Seconds of computing a mutant of the largest sample may take to be read, checked and solved."""
VAGUE = re.compile(r"Traceback|<[a-z_]+\.|object at 0x|\bNone\b|\bNoneType\b|KeyError|ValueError")
"""What a technician should never read."""


def plan(trees: dict[str, Tree], count: int, dice: random.Random) -> list[tuple[str, Spot, str]]:
    """Mutations to make: all of them where the count allows, else as many, spread over files and operations."""
    every = [(name, spot, operation) for name, tree in trees.items() for spot in spots(tree)
             for operation in OPERATIONS]
    dice.shuffle(every)
    while len(every) < count:  # swaps, renamings and new kinds come out otherwise the next time
        more = [one for one in every if one[2] in ("swap", "rename", "retype")]
        dice.shuffle(more)
        every += more
    return every[:count]


class Bench:
    """Reads mutants in a folder of samples of its own."""

    def __init__(self, folder: Path):
        self.folder, self.symbols = folder / "samples", shipped()
        shutil.copytree(ROOT / "samples", self.folder)
        self.build = self._read("baritone.yaml", (self.folder / "baritone.yaml").read_bytes(), Diagnostics())

    def _read(self, name: str, data: bytes, say: Diagnostics) -> object:
        return read_build(data, name, Sources(self.folder), self.symbols, say)

    def outcome(self, name: str, data: bytes) -> str:
        """``right``, ``warned`` or ``refused``; raises where it is none of them."""
        say = Diagnostics()
        if name.startswith("prices/"):
            taken: object = read_prices(data, name, say)
        elif name.startswith("results/"):
            taken = results = read_results(data, name, say)
            if results is not None and not say.has_errors:
                metered(self.build, results, say)  # type: ignore[arg-type]
        else:
            taken = build = read_build(data, name, Sources(self.folder), self.symbols, say)
            if build is not None:
                check_connections(build, say)
                if not say.has_errors:
                    prove(build, say)
        return clear(say, data, taken is not None)


def clear(say: Diagnostics, data: bytes, taken: bool) -> str:
    """What came of it, once every problem is seen to be one a technician can act on."""
    lines = data.count(b"\n") + 1
    for problem in say.sorted():
        assert problem.message.strip(), problem
        assert not VAGUE.search(problem.message), problem
        assert problem.place.file, problem
        assert problem.place.line <= lines or problem.place.file.count("/"), problem
        # Only of a whole file that is empty or lacks its first keys is there no line to point at.
        assert problem.place.line > 0 or problem.severity is not Severity.ERROR or not taken, problem
    assert taken or say.has_errors, "refused without a word"
    if say.has_errors:
        return "refused"
    return "warned" if any(p.severity is Severity.WARNING for p in say) else "right"


def print_one(bench: Bench, name: str, data: bytes) -> str:
    """A mutant through the whole of ``print``; where it has no errors it gives sheets."""
    path = bench.folder / "mutant.yaml"
    path.write_bytes(data)
    proof = examine(path)
    if proof.layout is None or proof.has_errors:
        assert proof.has_errors
        return "not printed"
    files = compose(proof, Request())
    assert files["leads.csv"]
    assert files["diagram.pdf"].startswith(b"%PDF-")
    return "printed"


def sample_trees() -> dict[str, Tree]:
    """Every file of the samples that is read as a tree, by its name."""
    folder, found = ROOT / "samples", {}
    for path in sorted((*folder.glob("*.yaml"), *folder.glob("prices/*.yaml"), *folder.glob("results/*.yaml"))):
        tree = tree_of(path.read_text(encoding="utf-8"))
        assert tree is not None
        found[path.relative_to(folder).as_posix()] = tree
    return found


def run(count: int, printed: int, seed: int, seconds: float = 1e9) -> tuple[Counter[str], list[str]]:
    """Make and judge the mutants; returns what came of them and the failures in words."""
    dice, trees = random.Random(seed), sample_trees()
    tally: Counter[str] = Counter()
    failures: list[str] = []
    begin = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(Path(folder))
        builds = []
        for name, spot, operation in plan(trees, count, dice):
            if time.monotonic() - begin > seconds:
                break
            data = written(mutant(trees[name], spot, operation, dice)).encode()
            builds += [] if "/" in name or len(builds) >= 4 * printed else [(name, spot, operation, data)]
            failures += _judged(tally, operation, f"{name} {spot} {operation}",
                                lambda d=data, n=name: bench.outcome(n, d))
        for name, spot, operation, data in dice.sample(builds, min(printed, len(builds))):
            failures += _judged(tally, "print", f"print {name} {spot} {operation}",
                                lambda d=data, n=name: print_one(bench, n, d))
    return tally, failures


def _judged(tally: Counter[str], group: str, words: str, judge) -> Iterator[str]:  # type: ignore[no-untyped-def]
    begin = time.process_time()
    try:
        came = judge()
    except Exception:
        tally[f"{group}: FAILED"] += 1
        yield f"{words}\n{traceback.format_exc()}"
        return
    took = time.process_time() - begin
    tally[f"{group}: {came}"] += 1
    if took > SLOW and group != "print":
        yield f"{words}: took {took:.1f} s"


def main() -> int:
    """Say the counts and the failures; 1 where there are any."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    asked.add_argument("--count", type=int, default=20_000)
    asked.add_argument("--printed", type=int, default=100)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--seconds", type=float, default=1e9)
    how = asked.parse_args()
    tally, failures = run(how.count, how.printed, how.seed, how.seconds)
    for words in sorted(tally):
        print(f"{words} {tally[words]}")
    print(f"{sum(n for w, n in tally.items() if not w.startswith('print'))} mutants, {len(failures)} failures")
    print("\n".join(failures[:40]))
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
