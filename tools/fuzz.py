"""Fuzzes everything that reads a file or a value: ``python tools/fuzz.py --seconds 600 --out FOLDER``.

Inputs are grown from the samples, symbols, price files and results by mutations of their tree, by generators of values
and of outlines, and by mutations of bytes. Every so many inputs one is run under a trace of the lines it reaches; what
reaches a new line joins the pool that later inputs are grown from. Said at the end: how many inputs of each kind, how
many a second, how many got past the YAML reader, and every failure (an exception, more than 2 s of computing, more than
300 MB). The same seed and count make the same inputs.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import random
import resource
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "tools")]

from fuzz_inputs import Grower  # noqa: E402
from fuzz_targets import TARGETS, Target  # noqa: E402

SLOW = 2.0
"""Seconds of computing one input may take."""
MEMORY = 300_000_000
"""Bytes one input may add."""
TRACED = 12
"""One input of so many is traced."""
POOL = 1500
"""Inputs kept of each kind for what they reached; the oldest go."""
SHARES = {"value": 300, "svg": 100, "symbol": 3, "results": 3, "prices": 3, "labels": 3, "build": 6}
"""How often each kind comes, in inputs of a round; a build takes a thousand times as long as a value."""


@dataclass
class Tally:
    """What became of the inputs of one kind."""

    inputs: int = 0
    past_yaml: int = 0
    accepted: int = 0
    seconds: float = 0.0
    slowest: float = 0.0
    reached: set[tuple[str, int, int]] = field(default_factory=set)
    pool: list[bytes] = field(default_factory=list)


class TooLong(BaseException):
    """Raised into an input that does not come to an end; no handler of ``Exception`` takes it for its own."""


def _too_long(*_: object) -> None:
    raise TooLong


@contextmanager
def limited(extra: int = MEMORY) -> Iterator[None]:
    """No more memory than now and ``extra``; MemoryError beyond."""
    before = resource.getrlimit(resource.RLIMIT_AS)
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    resource.setrlimit(resource.RLIMIT_AS, (pages * resource.getpagesize() + extra, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_AS, before)


def run_one(target: Target, data: bytes, tally: Tally, traced: bool) -> str:
    """Run one input; returns what failed, or ''."""
    edges: set[tuple[str, int, int]] = set()
    begin = time.process_time()
    signal.setitimer(signal.ITIMER_PROF, SLOW * (8 if traced else 2))
    if traced:
        sys.settrace(_tracer(edges))
    try:
        past, accepted = target.run(data)
    except TooLong:
        return "does not come to an end"
    except (Exception, MemoryError, RecursionError):
        return traceback.format_exc()
    finally:
        sys.settrace(None)
        signal.setitimer(signal.ITIMER_PROF, 0)
        took = time.process_time() - begin
        tally.inputs += 1
        tally.seconds += took
        if not traced:
            tally.slowest = max(tally.slowest, took)
    tally.past_yaml += past
    tally.accepted += accepted
    if not edges <= tally.reached:
        tally.reached |= edges
        tally.pool = [*tally.pool, data][-POOL:]
    return f"took {took:.1f} s" if took > SLOW and not traced else ""


def _tracer(edges: set[tuple[str, int, int]]) -> Callable[[FrameType, str, Any], Any]:
    home = str(ROOT / "diagramgen")

    def at_call(frame: FrameType, event: str, _: Any) -> Any:
        if not frame.f_code.co_filename.startswith(home):
            return None
        last, name = 0, frame.f_code.co_filename

        def at_line(frame: FrameType, event: str, _: Any) -> Any:
            nonlocal last
            if event == "line":
                edges.add((name, last, frame.f_lineno))
                last = frame.f_lineno
            return at_line

        return at_line

    return at_call


def fuzz(kinds: dict[str, int], count: int, seconds: float, seed: int, keep: Path | None) -> tuple[
        dict[str, Tally], list[tuple[str, bytes, str]]]:
    """Run rounds of inputs until the count or the seconds are reached; returns tallies and failures."""
    dice, failures, known = random.Random(seed), [], set()
    tallies = {kind: Tally() for kind in kinds}
    signal.signal(signal.SIGPROF, _too_long)
    with tempfile.TemporaryDirectory() as folder:
        targets = {kind: TARGETS[kind](ROOT, Path(folder)) for kind in kinds}
        growers = {kind: Grower(kind, targets[kind].seeds, dice) for kind in kinds}
        order = [kind for kind, share in kinds.items() for _ in range(share)]
        for kind in kinds:  # what is loaded once is loaded before memory is counted
            for data in dict.fromkeys(targets[kind].seeds[:110]):
                targets[kind].run(data)
        begin = time.monotonic()
        with limited():
            while sum(t.inputs for t in tallies.values()) < count and time.monotonic() - begin < seconds:
                for kind in order:
                    data = growers[kind].grow(tallies[kind].pool)
                    said = run_one(targets[kind], data, tallies[kind], tallies[kind].inputs % TRACED == 0)
                    place = hashlib.sha256((kind + said.rpartition('File "')[2]).encode()).hexdigest()[:12]
                    if said and place not in known:
                        known.add(place)
                        failures.append((kind, data, said))
                        if keep is not None:
                            _keep(keep, kind, data, said)
                if keep is not None and tallies[order[-1]].inputs % 120 == 0:
                    (keep / "counts.json").write_text(json.dumps(report(tallies)), encoding="utf-8")
    return tallies, failures


def _keep(folder: Path, kind: str, data: bytes, said: str) -> None:
    name = f"{kind}-{hashlib.sha256(data).hexdigest()[:10]}"
    (folder / f"{name}.bin").write_bytes(data)
    (folder / f"{name}.txt").write_text(said, encoding="utf-8")


def report(tallies: dict[str, Tally]) -> dict[str, dict[str, float]]:
    """The counts as plain data."""
    return {kind: {"inputs": t.inputs, "past_yaml": t.past_yaml, "accepted": t.accepted,
                   "inputs_a_second": round(t.inputs / max(t.seconds, 1e-9), 1), "slowest_s": round(t.slowest, 3),
                   "lines_reached": len({(f, b) for f, _, b in t.reached}), "pool": len(t.pool)}
            for kind, t in tallies.items()}


def main() -> int:
    """Fuzz and say the figures; 1 where anything failed."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    asked.add_argument("--seconds", type=float, default=60)
    asked.add_argument("--count", type=int, default=10**9)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--kind", action="append", choices=list(SHARES))
    asked.add_argument("--out", type=Path, help="where inputs that fail are kept")
    how = asked.parse_args()
    if how.out is not None:
        how.out.mkdir(parents=True, exist_ok=True)
    kinds = {kind: share for kind, share in SHARES.items() if not how.kind or kind in how.kind}
    tallies, failures = fuzz(kinds, how.count, how.seconds, how.seed, how.out)
    for kind, row in report(tallies).items():
        print(kind, *(f"{name} {value:g}" for name, value in row.items()))
    done, past = sum(t.inputs for t in tallies.values()), sum(t.past_yaml for t in tallies.values())
    read = sum(t.inputs for k, t in tallies.items() if k not in ("value", "svg"))
    in_yaml = past - sum(t.past_yaml for k, t in tallies.items() if k in ("value", "svg"))
    print(f"{done} inputs; {in_yaml} of {read} files got past the YAML reader; {len(failures)} kinds of failure; "
          f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000:.0f} MB")
    for kind, data, said in failures:
        print(f"--- {kind}: {data[:300]!r}\n{said}")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
