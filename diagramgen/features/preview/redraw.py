"""Draws a build for the preview, step by step: first what changes on the sheet, then what it sounds like.

Regions in which nothing has changed keep their routes, so that a change of one lead is drawn within a second; the
result is the drawing that ``print`` makes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from diagramgen.analysis import Analysis, examine, laid_out, solved
from diagramgen.features.preview.drawn import SoundTable, places_of, preview_diagram, sound_table
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, Problem
from diagramgen.layout.global_routing.region_memo import RegionMemo
from diagramgen.model.build import Build
from diagramgen.sheets.context import context_of
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

    @property
    def leads(self) -> int:
        """How many leads it shows."""
        return sum(1 for subject in self.lines if subject.startswith("lead:"))


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
        analysis = examine(self.path, self.symbols, reading=True)
        self.files = tuple(dict.fromkeys((self.path, *(f for f in analysis.files if f != self.path.resolve()))))
        say = Diagnostics(dict(analysis.texts))
        say.extend(analysis.problems)
        now = replace(last, count=last.count + 1, fault="", drawn=None, checksum=analysis.checksum, solving=False,
                      texts=_texts(str(self.path), analysis.texts) or last.texts, texts_old=not analysis.texts,
                      problems=say.sorted())
        if analysis.build is None:
            yield self._keep(now)
            return
        whole = not say.has_errors
        now = replace(now, title=analysis.build.title, under=_under(analysis.build))
        analysis = laid_out(analysis, say, self.laying)
        analysis = replace(analysis, problems=say.sorted())
        now = replace(now, problems=analysis.problems, drawn=_picture(analysis), solving=whole)
        if whole:
            yield self._keep(now)
        analysis = solved(analysis, say, whole)
        analysis = replace(analysis, problems=say.sorted())
        now = replace(now, problems=analysis.problems, solving=False, drawn=_stamped(now.drawn, analysis))
        if analysis.chart is not None:
            now = replace(now, sounds=sound_table(analysis.chart), sounds_of=analysis.checksum)
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


def _picture(analysis: Analysis) -> Picture | None:
    if analysis.layout is None:
        return None
    context = context_of(analysis)
    sheet = preview_diagram(context)
    return Picture(inline_svg(sheet), sheet.width, analysis.checksum, context.warning, places_of(analysis.layout))


def _stamped(picture: Picture | None, analysis: Analysis) -> Picture | None:
    """The picture with the stamp it needs once the circuit is known."""
    return picture and replace(picture, warning=context_of(analysis).warning)


def _texts(build: str, texts: Mapping[str, list[str]]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    order = sorted(texts, key=lambda file: (file != build, file))
    return tuple((file, tuple(texts[file][:-1] if texts[file][-1:] == [""] else texts[file])) for file in order)
