"""Whether the commonest first jobs of the interview find places: 48 jobs whose cavity alone was measured.

Each is what a technician answers who has the cavity's size, its depth and the parts on the bench, but no hole: one to
three pickups, one to four pots, toggle or lever, jack in its own hole or in the cavity, easy and tight ones. The build
is made of the answers and examined as ``check`` does. A job counts as placed where there is no warning or error of
place (FIT-2xx) or fit (FIT-3xx), but of the parts outside, of which nobody asked where their leads come in (FIT-203).

Of every other job it prints what the program says is missing.

    PYTHONPATH=. python benchmarks/first_jobs.py
"""

from __future__ import annotations

import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from diagramgen.analysis import Analysis, examine
from diagramgen.features.interview.answered import build_text
from diagramgen.features.interview.answers import CAVITY, EACH, NONE, ONE, OWN, TWO, Answers, Cavity
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Problem

GOAL = 36 / 40
SINGLE, DUAL, BASS, SPLIT = "single-coil", "dual-coil", "bass-single", "bass-split"
SHORT, UPRIGHT, LEVER_3, LEVER_5 = "toggle-short", "toggle-upright", "lever-open-3", "lever-open-5"
IN, OUT = CAVITY, OWN


@dataclass(frozen=True)
class Job:
    """One first job: cavity (mm), kinds of the pickups, volumes, tones, selector and where it is, where the jack is."""

    size: tuple[float, float]
    pickups: tuple[str, ...]
    volumes: str
    tones: str
    selector: str = ""
    selector_in: str = IN
    jack_in: str = OUT
    depth: float = 38.0
    corner: float = 12.0
    jack: str = "jack-mono-open"
    hand: str = "right"
    mouths: tuple[tuple[str, tuple[float, float]], ...] = ()

    def answers(self) -> Answers:
        """The job as the interview gives it."""
        bright = all(kind in (SINGLE, BASS) for kind in self.pickups)
        # The thread of an open jack holds in 4 mm, not in 5: where it shares the face, that is a plate or thin wood.
        cavity = Cavity(*self.size, self.corner, self.depth, 4.0 if self.jack_in == IN else 5.0)
        return Answers(title="First job", cavity=cavity, pickups=self.pickups, volumes=self.volumes, tones=self.tones,
                       pot="250k log" if bright else "500k log", cap="47n" if bright else "22n",
                       selector=self.selector, selector_in=self.selector_in, jack=self.jack, jack_in=self.jack_in,
                       hand=self.hand, mouths=dict(self.mouths))

    @property
    def words(self) -> str:
        """The job in one line."""
        given = self.answers()
        pots = len(given.volume_names()) + len(given.tone_names())
        selector = self.selector + " elsewhere" * (self.selector_in == OUT) or "no selector"
        return (f"{self.size[0]:g} x {self.size[1]:g}: {len(self.pickups)} pickup{'s' * (len(self.pickups) > 1)}, "
                f"{pots} pot{'s' * (pots > 1)}, {selector}{', jack' if self.jack_in == IN else ''}")


TWO_DUALS, TWO_SINGLES, THREE = (DUAL, DUAL), (SINGLE, SINGLE), (SINGLE, SINGLE, SINGLE)
MIXED = (SINGLE, SINGLE, DUAL)
FOUND_MOUTHS = (("pickups", (0.0, 25.0)), ("jack", (100.0, 50.0)), ("bridge", (0.0, 45.0)))

JOBS = (
    # one pickup
    Job((95, 60), (DUAL,), ONE, NONE),
    Job((95, 60), (DUAL,), ONE, ONE),
    Job((95, 60), (SINGLE,), ONE, ONE, jack_in=IN),
    Job((95, 60), (SPLIT,), ONE, ONE),
    Job((100, 50), (SPLIT,), ONE, ONE, jack_in=IN, corner=8),
    Job((120, 40), (BASS,), ONE, ONE, corner=10),
    # two pickups, a toggle
    Job((95, 60), TWO_DUALS, ONE, NONE, SHORT),
    Job((95, 60), TWO_DUALS, ONE, ONE, SHORT),
    Job((95, 60), TWO_SINGLES, ONE, ONE, SHORT, jack_in=IN),
    Job((95, 60), TWO_DUALS, EACH, ONE, SHORT),
    Job((95, 60), TWO_DUALS, EACH, EACH, SHORT, OUT),
    Job((95, 60), TWO_DUALS, EACH, EACH, SHORT),
    Job((100, 65), TWO_DUALS, EACH, EACH, SHORT),
    Job((110, 70), TWO_DUALS, EACH, EACH, SHORT),
    Job((110, 70), TWO_DUALS, EACH, EACH, SHORT, jack_in=IN),
    Job((110, 70), TWO_DUALS, EACH, EACH, SHORT, hand="left"),
    Job((100, 60), TWO_DUALS, ONE, ONE, SHORT, mouths=FOUND_MOUTHS),
    Job((110, 70), TWO_DUALS, EACH, EACH, SHORT, OUT, mouths=FOUND_MOUTHS),
    Job((120, 75), TWO_DUALS, EACH, EACH, UPRIGHT, OUT, depth=42),
    Job((130, 80), TWO_DUALS, EACH, EACH, SHORT, jack_in=IN),
    Job((120, 70), ("dual-coil-braided", "dual-coil-braided"), EACH, EACH, UPRIGHT, OUT),
    Job((120, 70), TWO_DUALS, EACH, EACH, UPRIGHT, depth=50),
    Job((105, 65), TWO_SINGLES, EACH, ONE, SHORT),
    Job((150, 50), TWO_DUALS, ONE, ONE, SHORT, corner=10),
    Job((95, 60), TWO_DUALS, EACH, EACH, SHORT, jack_in=IN),
    Job((100, 45), TWO_DUALS, EACH, EACH, SHORT, corner=10),
    # two pickups, a lever or none
    Job((95, 60), TWO_SINGLES, ONE, ONE, LEVER_3),
    Job((110, 60), TWO_SINGLES, ONE, ONE, LEVER_3, jack_in=IN),
    Job((150, 45), TWO_SINGLES, ONE, ONE, LEVER_3, corner=8),
    Job((170, 40), TWO_SINGLES, ONE, ONE, LEVER_3, corner=6, depth=36),
    Job((160, 40), TWO_SINGLES, ONE, ONE, LEVER_3, jack_in=IN, corner=6, depth=36),
    Job((95, 60), (BASS, BASS), EACH, ONE),
    Job((100, 60), (SPLIT, BASS), EACH, ONE, jack_in=IN),
    Job((120, 45), (BASS, BASS), EACH, ONE, jack_in=IN, corner=10),
    Job((95, 60), (BASS, BASS), EACH, ONE, jack_in=IN, jack="jack-barrel"),
    # three pickups
    Job((95, 60), THREE, ONE, ONE, LEVER_5),
    Job((95, 60), THREE, ONE, TWO, LEVER_5),
    Job((110, 70), THREE, ONE, TWO, LEVER_5),
    Job((130, 65), THREE, ONE, TWO, LEVER_5, jack_in=IN),
    Job((140, 60), MIXED, ONE, TWO, LEVER_5),
    Job((150, 70), MIXED, ONE, ONE, LEVER_5, jack_in=IN),
    Job((120, 80), THREE, ONE, TWO, LEVER_5, jack_in=IN),
    Job((100, 70), MIXED, ONE, ONE, LEVER_5, mouths=FOUND_MOUTHS),
    Job((180, 60), THREE, ONE, TWO, LEVER_5, jack_in=IN, hand="left"),
    Job((110, 70), THREE, EACH, ONE, LEVER_5),
    Job((95, 60), THREE, EACH, ONE, LEVER_5),
    Job((95, 60), THREE, ONE, TWO, LEVER_5, jack_in=IN),
    Job((120, 80), THREE, EACH, ONE, LEVER_3, jack_in=IN),
)


def misplaced(analysis: Analysis) -> list[Problem]:
    """What was said of places and of fit."""
    return [p for p in analysis.problems if p.severity is not Severity.NOTE
            and p.code.startswith(("FIT-2", "FIT-3")) and p.code != "FIT-203"]


def main() -> None:
    """Print every job, and how many were placed."""
    good, printed, began = 0, 0, time.process_time()
    with tempfile.TemporaryDirectory() as folder:
        for number, job in enumerate(JOBS, 1):
            file = Path(folder) / f"job-{number}.yaml"
            file.write_text(build_text(job.answers()), encoding="utf-8")
            proof = examine(file)
            found = misplaced(proof)
            good += not found
            printed += not proof.has_errors
            print(f"{number:3}  {'not placed' if found else 'placed    '}  {job.words}")
            for problem in found:
                print(f"       {problem.code} {problem.message}")
    share = good / len(JOBS)
    print(f"{printed} of {len(JOBS)} print (no error)")
    print(f"{good} of {len(JOBS)} placed ({share:.0%}; goal {GOAL:.0%}), "
          f"{(time.process_time() - began) / len(JOBS):.1f} s of one core each")


if __name__ == "__main__":
    main()
