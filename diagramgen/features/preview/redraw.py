"""Draws a build for the preview, step by step: first what changes on the sheet, then what it sounds like.

Rooms in which nothing has changed keep their routes, so that a change of one lead is drawn within a second; the
result is the drawing that ``print`` makes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from diagramgen.features.preview.drawn import SoundTable, places_of, preview_diagram, sound_table
from diagramgen.job import pipeline
from diagramgen.kernel.diagnostics import Collector, Problem, Severity
from diagramgen.layout.global_routing.region_memo import RegionMemo
from diagramgen.model.build import Build
from diagramgen.writers.inline_svg import inline_svg
from diagramgen.writers.markup import Markup


@dataclass(frozen=True)
class Picture:
    """A diagram as it is shown, and the file it was drawn from."""

    markup: Markup
    width: float
    """mm."""
    checksum: str
    warning: str
    """What must be stamped on it."""
    lines: dict[str, int]
    """Lead or part -> its line in the file."""


@dataclass(frozen=True)
class Shown:
    """All that the page shows at one time."""

    file: str
    title: str = ""
    under: str = ""
    """Job, instrument and workshop."""
    checksum: str = ""
    problems: tuple[Problem, ...] = ()
    texts: tuple[tuple[str, tuple[str, ...]], ...] = ()
    """Files with their lines, the build file first."""
    texts_old: bool = False
    """The build file cannot be read now: its lines are those read last."""
    good: Picture | None = None
    """The last diagram of a file without errors."""
    drawn: Picture | None = None
    """The diagram of the file as it stands; None where nothing could be drawn."""
    sounds: SoundTable | None = None
    """Of ``sounds_of``, which is the file as it stands or an earlier one."""
    sounds_of: str = ""
    solving: bool = False
    """What it sounds like is still being worked out."""
    count: int = 0
    """How many times it was drawn."""
    fault: str = ""
    """What kept the program itself from drawing."""

    @property
    def errors(self) -> bool:
        """Whether any problem is an error."""
        return any(p.severity is Severity.ERROR for p in self.problems)


class Redraw:
    """Draws one build file again and again and remembers what can be used again."""

    def __init__(self, path: Path, symbols: Path | None = None):
        self.path, self.symbols = path, symbols
        self.laying = RegionMemo()
        self.shown = Shown(str(path))
        self.files: tuple[Path, ...] = (path,)
        """What the last reading read or looked for."""

    def steps(self) -> Iterator[Shown]:
        """What is to be shown, as soon as it is known; the last one is all of it.

        A step may be the last that is asked for: then what comes is dropped and drawing begins anew.
        """
        last = self.shown
        proof = pipeline.examine(self.path, self.symbols, reading=True)
        self.files = tuple(dict.fromkeys((self.path, *(f for f in proof.files if f != self.path.resolve()))))
        say = Collector(proof.texts)
        say.extend(proof.problems)
        now = replace(last, count=last.count + 1, fault="", drawn=None, checksum=proof.checksum, solving=False,
                      texts=_texts(str(self.path), proof.texts) or last.texts, texts_old=not proof.texts,
                      problems=say.sorted())
        if proof.build is None:
            yield self._keep(now)
            return
        whole = not say.has_errors
        now = replace(now, title=proof.build.title, under=_under(proof.build))
        pipeline.lay_out(proof.build, say, proof, self.laying)
        proof.problems = say.sorted()
        now = replace(now, problems=proof.problems, drawn=_picture(proof), solving=whole)
        if whole:
            yield self._keep(now)
        pipeline.solve(proof.build, say, proof, whole)
        proof.problems = say.sorted()
        now = replace(now, problems=proof.problems, solving=False, drawn=_stamped(now.drawn, proof))
        if proof.chart is not None:
            now = replace(now, sounds=sound_table(proof.chart), sounds_of=proof.checksum)
        if now.drawn is not None and not now.errors:
            now = replace(now, good=now.drawn)
        yield self._keep(now)

    def stumbled(self, fault: Exception) -> Shown:
        """What is shown where the program itself failed: everything as before, and that it failed."""
        words = f"{type(fault).__name__}: {fault}"
        return self._keep(replace(self.shown, fault=words, solving=False, drawn=None, count=self.shown.count + 1))

    def _keep(self, now: Shown) -> Shown:
        self.shown = now
        return now


def _under(build: Build) -> str:
    said = (build.job, build.instrument, build.record.get("workshop", ""))
    return " · ".join(t for t in said if t)


def _picture(proof: pipeline.Proof) -> Picture | None:
    if proof.layout is None:
        return None
    subject = pipeline.subject_of(proof)
    sheet = preview_diagram(subject)
    return Picture(inline_svg(sheet), sheet.width, proof.checksum, subject.warning, places_of(proof.layout))


def _stamped(picture: Picture | None, proof: pipeline.Proof) -> Picture | None:
    """The picture with the stamp it needs once the circuit is known."""
    return picture and replace(picture, warning=pipeline.subject_of(proof).warning)


def _texts(build: str, texts: dict[str, list[str]]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    order = sorted(texts, key=lambda file: (file != build, file))
    return tuple((file, tuple(texts[file][:-1] if texts[file][-1:] == [""] else texts[file])) for file in order)
