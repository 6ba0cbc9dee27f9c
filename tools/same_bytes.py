#!/usr/bin/env python3
"""Hold the outputs of two checkouts against each other, byte for byte.

    python tools/same_bytes.py BEFORE AFTER                     every sample, every kind of sheet, every command
    python tools/same_bytes.py BEFORE AFTER --samples one-volume,baritone --kinds diagram,leads
    python tools/same_bytes.py BEFORE --keep before.json        hashes of one side only
    python tools/same_bytes.py before.json AFTER                a kept side against a checkout

Each sample runs in a process of its own, in a folder of its own that bears the same name on both sides; every command
goes through ``python -m diagramgen``'s own entry, so nothing here names a module that may move. Compared are the files
written, standard output, standard error and the exit status. Ends with 1 where anything differs.
"""

from __future__ import annotations

import argparse
import hashlib
import io
import json
import os
import re
import runpy
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

KINDS = ("diagram", "bench", "jig", "template", "cover", "stages", "work", "changes", "undo", "proof", "test", "leads",
         "player", "curves", "states", "intake", "closing", "record")
SHARED = [
    ["--help"], ["schema"], ["symbols"], ["symbols", "--json"], ["start", "--list"], ["start", "one-volume"],
    ["meaning"], ["meaning", "RTE-104"], ["compare", "two-pickups-toggle-found.yaml", "two-pickups-toggle.yaml"],
    ["trace", "--card", "--out", "OUT"], ["shop", ".", "--sheet", "leads", "--workers", "1", "--out", "OUT"],
]
"""Commands that are run once, in a folder that holds all samples."""


def commands(name: str, kinds: list[str]) -> list[list[str]]:
    """What is run for one sample; OUT stands for a fresh folder."""
    file = f"{name}.yaml"
    rows = [
        ["check", file], ["check", file, "--json"], ["sounds", file], ["sounds", file, "--json"], ["netlist", file],
        ["readings", file], ["page", file, "--out", "OUT"],
        ["labels", file, "--out", "OUT"],
        ["fault", file, "--seen", "volume: stuck", "--seen", "strings: open"], ["guess", file],
        ["price", file, "--prices", "prices/lantern-lane.yaml", "--out", "OUT"],
        ["print", file, "--anyway", "--out", "OUT"],
        ["print", file, "--anyway", "--sheet", "packet", "--out", "OUT"],
        ["print", file, "--anyway", "--sheet", "faults", "--out", "OUT"],
        ["print", file, "--anyway", "--sheet", "diagram", "--paper", "letter", "--lettering", "outline",
         "--out", "OUT"],
    ]
    rows += [["print", file, "--anyway", "--sheet", k, "--out", "OUT"] for k in kinds]
    return rows


def digest(data: bytes) -> str:
    """A short name for bytes."""
    return hashlib.sha256(data).hexdigest()[:24]


def one_command(row: list[str], out: Path) -> dict[str, str]:
    """Run a command in this process: file or stream -> its digest."""
    shutil.rmtree(out, ignore_errors=True)
    out.mkdir()
    streams = [io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="\n") for _ in range(2)]
    kept = sys.stdout, sys.stderr, sys.argv
    sys.stdout, sys.stderr = streams
    sys.argv = ["diagramgen", *(w.replace("OUT", out.name) for w in row)]
    status: object = 0
    try:
        runpy.run_module("diagramgen", run_name="__main__", alter_sys=False)
    except SystemExit as end:
        status = end.code
    except BaseException as fault:  # a traceback is an output like any other: it must be the same one
        status = f"{type(fault).__name__}: {fault}"
    finally:
        sys.stdout, sys.stderr, sys.argv = kept
    found = {"<status>": str(status)}
    for label, stream in zip(("<out>", "<err>"), streams, strict=True):
        stream.flush()
        found[label] = digest(stream.buffer.getvalue())  # type: ignore[attr-defined]
    for path in sorted(out.rglob("*")):
        if path.is_file():
            found[str(path.relative_to(out))] = digest(path.read_bytes())
    return found


def worker(checkout: Path, job: str, kinds: list[str]) -> None:
    """In a process of its own: print the digests of one job as JSON."""
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(checkout / "samples", Path(folder) / "samples")
        os.chdir(Path(folder) / "samples")
        rows = SHARED if job == "<shared>" else commands(job, kinds)
        if job == "<bad>":
            shutil.copytree(checkout / "tests" / "bad_builds", Path("bad"))
            os.chdir("bad")
            rows = [["check", p.name] for p in sorted(Path().glob("*.yaml"))]
        result = {" ".join(row): one_command(row, Path("OUT")) for row in rows}
    print(json.dumps(result))


def side(place: Path, jobs: list[str], kinds: list[str], processes: int) -> dict[str, dict[str, dict[str, str]]]:
    """The digests of one checkout, or those kept in a file."""
    if place.is_file():
        kept: dict[str, dict[str, dict[str, str]]] = json.loads(place.read_text())
        return kept

    def run(job: str) -> dict[str, dict[str, str]]:
        environment = {**os.environ, "PYTHONPATH": str(place.resolve()), "NO_COLOR": "1", "COLUMNS": "100",
                       "PYTHONHASHSEED": "0", "PYTHONDONTWRITEBYTECODE": "1"}
        call = [sys.executable, __file__, "--worker", str(place.resolve()), job, ",".join(kinds)]
        done = subprocess.run(call, env=environment, capture_output=True, text=True, check=False)
        if done.returncode:
            raise SystemExit(f"{place}, {job}: {done.stderr}")
        answer: dict[str, dict[str, str]] = json.loads(done.stdout)
        return answer

    with ThreadPoolExecutor(processes) as pool:
        return dict(zip(jobs, pool.map(run, jobs), strict=True))


def main() -> int:
    """Compare, or keep one side."""
    if sys.argv[1:2] == ["--worker"]:
        sys.path.insert(0, sys.argv[2])
        worker(Path(sys.argv[2]), sys.argv[3], [k for k in sys.argv[4].split(",") if k])
        return 0
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("before", type=Path)
    options.add_argument("after", type=Path, nargs="?")
    options.add_argument("--samples", default="")
    options.add_argument("--kinds", default=",".join(KINDS))
    options.add_argument("--keep", type=Path)
    options.add_argument("--jobs", type=int, default=2)
    options.add_argument("--no-shared", action="store_true")
    asked = options.parse_args()
    root = next(p for p in (asked.before, asked.after) if p is not None and p.is_dir())
    found = [p.stem for p in sorted((root / "samples").glob("*.yaml"))]
    names = [n for n in asked.samples.split(",") if n] or found
    jobs = names + ([] if asked.no_shared else ["<shared>", "<bad>"])
    kinds = [k for k in re.split(",", asked.kinds) if k]
    before = side(asked.before, jobs, kinds, asked.jobs)
    if asked.keep:
        asked.keep.write_text(json.dumps(before))
    if asked.after is None:
        print(sum(len(f) for rows in before.values() for f in rows.values()), "outputs kept")
        return 0
    after = side(asked.after, jobs, kinds, asked.jobs)
    same, wrong = 0, []
    for job in jobs:
        for row, files in after[job].items():
            old = before[job].get(row, {})
            for name in sorted(old.keys() | files.keys()):
                if old.get(name) == files.get(name):
                    same += 1
                else:
                    state = "new" if name not in old else "gone" if name not in files else "differs"
                    wrong.append(f"{job}: {row}: {name} {state}")
    print("\n".join(wrong))
    print(f"{same} outputs the same, {len(wrong)} not")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
