"""Inputs that once failed, and a short seeded run of the fuzzer; ``tools/fuzz.py`` runs it for as long as wanted."""

from __future__ import annotations

import random
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tools"))

import fuzz  # noqa: E402
import fuzz_targets  # noqa: E402
import mutations  # noqa: E402

CORPUS = sorted((ROOT / "tests" / "data" / "fuzz").glob("*.bin"))


@pytest.fixture(scope="module")
def targets(tmp_path_factory):
    return {kind: make(ROOT, tmp_path_factory.mktemp(kind)) for kind, make in fuzz_targets.TARGETS.items()}


@pytest.mark.parametrize("path", CORPUS, ids=lambda p: p.stem)
def test_an_input_that_once_failed_is_read_or_refused(targets, path: Path) -> None:
    tally = fuzz.Tally()
    fuzz.signal.signal(fuzz.signal.SIGPROF, fuzz._too_long)
    assert fuzz.run_one(targets[path.name.split("-")[0]], path.read_bytes(), tally, traced=False) == ""


def test_a_seeded_run_finds_no_failure_and_most_files_get_past_the_yaml_reader() -> None:
    kinds = {"value": 60, "svg": 20, "symbol": 1, "results": 2, "prices": 2, "labels": 2, "build": 2}
    tallies, failures = fuzz.fuzz(kinds, 2500, 1e9, 20240611, None)
    assert [(kind, data, said) for kind, data, said in failures] == []
    files = [t for kind, t in tallies.items() if kind not in ("value", "svg")]
    assert sum(t.past_yaml for t in files) >= sum(t.inputs for t in files) / 2
    assert all(t.inputs for t in tallies.values())
    assert tallies["value"].accepted > tallies["value"].inputs / 20
    assert tallies["build"].pool


def test_the_fuzzer_sees_a_failure_a_hang_and_a_memory_hog(monkeypatch) -> None:
    monkeypatch.setattr(fuzz, "SLOW", 0.2)

    class Faulty:
        seeds = (b"x",)

        def run(self, data: bytes) -> tuple[bool, bool]:
            if data == b"fails":
                raise KeyError("x")
            while data == b"hangs":
                pass
            return True, bool(bytearray(400_000_000 if data == b"hogs" else 1))

    fuzz.signal.signal(fuzz.signal.SIGPROF, fuzz._too_long)
    assert "KeyError" in fuzz.run_one(Faulty(), b"fails", fuzz.Tally(), traced=False)
    assert "does not come to an end" in fuzz.run_one(Faulty(), b"hangs", fuzz.Tally(), traced=False)
    with fuzz.limited():
        assert "MemoryError" in fuzz.run_one(Faulty(), b"hogs", fuzz.Tally(), traced=False)
    assert fuzz.run_one(Faulty(), b"fine", fuzz.Tally(), traced=False) == ""


@pytest.mark.parametrize("name", [p.relative_to(ROOT).as_posix() for p in sorted((ROOT / "samples").glob("*.yaml"))])
def test_a_tree_written_back_is_the_same_tree(name: str) -> None:
    tree = mutations.tree_of((ROOT / name).read_text(encoding="utf-8"))
    assert tree is not None
    assert mutations.tree_of(mutations.written(tree)) == tree


@pytest.mark.parametrize("operation", mutations.OPERATIONS)
def test_every_mutation_changes_the_tree_and_leaves_the_old_one_alone(operation: str) -> None:
    tree = mutations.tree_of((ROOT / "samples" / "one-volume.yaml").read_text(encoding="utf-8"))
    assert tree is not None
    before, dice = mutations.written(tree), random.Random(5)
    ways = list(mutations.spots(tree))
    changed = [mutations.written(mutations.mutant(tree, way, operation, dice)) != before for way in ways]
    assert sum(changed) > 0.8 * len(ways)
    assert mutations.written(tree) == before
