"""Where the time of a print goes, stage by stage, and what writing costs against the PDF library alone.

``print_time.py [BUILD]``; without one the sample with the most leads. CPU seconds, median of 3 in one process
after one run to warm up (imports and font tables count for nothing here; ``help_start.py`` and the line "first
run" show them). Goal: writing the PDF takes at most 6 x what reportlab takes to draw the same primitives, page
by page, with the same faces and nothing else: no tags, no bookmarks, no checks.
"""

from __future__ import annotations

import io
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from diagramgen.analysis import examine
from diagramgen.drawing.scene import Sheet
from diagramgen.drawing.style import Style
from diagramgen.kernel.geometry import Arc, Curve, Line
from diagramgen.lettering import font_path, font_size
from diagramgen.sheets.printing import compose
from diagramgen.sheets.sheet_kind import Request
from diagramgen.writers import canvas as canvas_module
from diagramgen.writers import pdf as pdf_module

ROOT = Path(__file__).resolve().parent.parent
RUNS = 3
MM = 72 / 25.4


class Stages:
    """Sums CPU time by stage; a stage inside another is taken off the outer one."""

    def __init__(self) -> None:
        self.spent: dict[str, float] = {}
        self._open: list[list[float]] = []

    @contextmanager
    def stage(self, name: str) -> Iterator[None]:
        self._open.append([0.0])
        begin = time.process_time()
        try:
            yield
        finally:
            took = time.process_time() - begin
            inner = self._open.pop()[0]
            self.spent[name] = self.spent.get(name, 0.0) + took - inner
            if self._open:
                self._open[-1][0] += took

    def wrap(self, module: Any, name: str, stage: str) -> Callable[[], None]:
        """Time every call of a function; returns what puts the plain one back."""
        plain = getattr(module, name)

        def timed(*args: Any, **kwargs: Any) -> Any:
            with self.stage(stage):
                return plain(*args, **kwargs)

        setattr(module, name, timed)
        return lambda: setattr(module, name, plain)


def watched() -> list[tuple[Any, str, str]]:
    """Functions by stage. The steps are imported where they are called, so their home modules are the place."""
    import importlib

    named = (
        ("diagramgen.reader.reader", "read_build", "read"),
        ("diagramgen.circuit.net_roles", "net_roles", "check"),
        ("diagramgen.circuit.rules.connections", "check_connections", "check"),
        ("diagramgen.layout.fit.check", "check_fit", "check"),
        ("diagramgen.layout.plan", "layout", "place"),
        ("diagramgen.layout.global_routing.region_memo", "route", "route"),
        ("diagramgen.job.lead_list", "lead_rows", "list"),
        ("diagramgen.features.diagrams.sheet", "draw", "compose"),
        ("diagramgen.features.leadlist.sheet", "lead_sheets", "compose"),
        ("diagramgen.writers.svg", "svg_bytes", "write SVG"),
        ("diagramgen.writers.pdf", "pdf_bytes", "write PDF"),
    )
    return [(importlib.import_module(module), name, stage) for module, name, stage in named]


def one_run(build: Path) -> dict[str, float]:
    """CPU seconds by stage of a whole print, without the disk."""
    stages = Stages()
    undo = [stages.wrap(module, name, stage) for module, name, stage in watched()]
    try:
        with stages.stage("rest"):
            compose(examine(build), Request())
    finally:
        for back in undo:
            back()
    return stages.spent


def sheets_of(build: Path) -> list[tuple[list[Sheet], str]]:
    """The sheets of each PDF of a print."""
    found: list[tuple[list[Sheet], str]] = []
    plain = pdf_module.pdf_bytes

    def noting(sheets: Any, title: str, **kwargs: Any) -> bytes:
        found.append((list(sheets), title))
        return plain(sheets, title, **kwargs)

    pdf_module.pdf_bytes = noting
    try:
        compose(examine(build), Request())
    finally:
        pdf_module.pdf_bytes = plain
    return found


class Recorder:
    """Takes a sheet's calls down as plain primitives, curves worked out beforehand."""

    def __init__(self) -> None:
        self.marks: list[tuple[Any, ...]] = []

    def path(self, paths: Any, style: Style, subject: str) -> None:
        pieces: list[tuple[float, ...]] = []
        for path in paths:
            at = path.start
            pieces.append((*at,))
            for piece in path.pieces:
                if isinstance(piece, Line):
                    pieces.append((*piece.to,))
                else:
                    curves = canvas_module.arc_curves(at, piece) if isinstance(piece, Arc) else [piece]
                    pieces += [(*c.first, *c.second, *c.to) for c in curves if isinstance(c, Curve)]
                at = piece.to
            pieces.append(())
        self.marks.append(("path", pieces, style.fill, style.stroke, style.width_mm, style.dash))

    def text(self, text: Any, style: Style) -> None:
        size = font_size(text.height)
        self.marks.append(("text", text.text, text.at, size, text.bold, text.angle, style.text_colour, text.anchor))

    def clip(self, window: Any) -> None:
        self.marks.append(("clip", window))

    def open_group(self, group: Any) -> None:
        """Groups, links and anchors are no primitives."""

    def close_group(self) -> None:
        """Nothing."""

    image = link = anchor = lambda self, _: None


def recorded(sheets: list[Sheet]) -> list[tuple[float, float, list[tuple[Any, ...]]]]:
    pages = []
    for sheet in sheets:
        note = Recorder()
        canvas_module.draw(sheet, note)  # type: ignore[arg-type]
        pages.append((sheet.width, sheet.height, note.marks))
    return pages


def bare_pdf(pages: list[tuple[float, float, list[tuple[Any, ...]]]]) -> bytes:
    """The same marks by reportlab's canvas and nothing else."""
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas

    for name, bold in (("Plain", False), ("Heavy", True)):
        registerFont(TTFont(name, str(font_path(bold))))
    out = io.BytesIO()
    page = Canvas(out, pageCompression=1, invariant=1, initialFontName="Plain")
    for width, height, marks in pages:
        page.setPageSize((width * MM, height * MM))
        page.transform(MM, 0, 0, -MM, 0, height * MM)
        for mark in marks:
            _bare_mark(page, mark)
        page.showPage()
    page.save()
    return out.getvalue()


def _bare_mark(page: Any, mark: tuple[Any, ...]) -> None:
    if mark[0] == "clip":
        _bare_clip(page, mark[1])
    elif mark[0] == "text":
        _, words, at, size, bold, angle, colour, anchor = mark
        page.saveState()
        page.translate(*at)
        page.rotate(angle * 57.29577951)
        page.scale(1, -1)
        page.setFillColor(colour)
        page.setFont("Heavy" if bold else "Plain", size)
        set_text = {"start": page.drawString, "middle": page.drawCentredString, "end": page.drawRightString}[anchor]
        set_text(0, 0, words)
        page.restoreState()
    else:
        _, pieces, fill, stroke, width, dash = mark
        path = page.beginPath()
        fresh = True
        for piece in pieces:
            if not piece:
                fresh = True
            elif len(piece) == 6:
                path.curveTo(*piece)
            elif fresh:
                path.moveTo(*piece)
                fresh = False
            else:
                path.lineTo(*piece)
        if fill:
            page.setFillColor(fill)
        if stroke:
            page.setStrokeColor(stroke)
            page.setLineWidth(width)
            page.setDash(list(dash)) if dash else page.setDash()
        page.drawPath(path, stroke=bool(stroke), fill=bool(fill))


def _bare_clip(page: Any, window: Any) -> None:
    if window is None:
        page.restoreState()
        return
    page.saveState()
    path = page.beginPath()
    path.rect(window.left, window.top, window.width, window.height)
    page.clipPath(path, stroke=0, fill=0)


def timed(work: Callable[[], object]) -> float:
    """Median CPU time of a piece of work, s."""
    times = []
    for _ in range(RUNS):
        begin = time.process_time()
        work()
        times.append(time.process_time() - begin)
    return statistics.median(times)


def largest() -> Path:
    """The good sample with the most leads."""
    builds = [p for p in (ROOT / "samples").glob("*.yaml") if not p.stem.startswith("wrong")]
    return max(builds, key=lambda p: (p.read_text(encoding="utf-8").count("->"), p.name))


def main() -> None:
    build = Path(sys.argv[1]) if len(sys.argv) > 1 else largest()
    begin = time.process_time()
    one_run(build)
    first = time.process_time() - begin
    runs = [one_run(build) for _ in range(RUNS)]
    whole = statistics.median(sum(run.values()) for run in runs)
    print(f"{build.name}: first run {first:.2f} s, warm {whole:.2f} s of CPU")
    for name in sorted(runs[0], key=lambda n: -statistics.median(run[n] for run in runs)):
        spent = statistics.median(run[name] for run in runs)
        print(f"  {name:<10}{spent:7.2f} s {spent / whole:6.0%}")
    documents = sheets_of(build)
    pages = [recorded(sheets) for sheets, _ in documents]
    ours = timed(lambda: [pdf_module.pdf_bytes(sheets, title) for sheets, title in documents])
    bare = timed(lambda: [bare_pdf(found) for found in pages])
    marks = sum(len(m) for found in pages for _, _, m in found)
    print(f"writing {len(documents)} PDF files, {sum(map(len, pages))} pages, {marks} primitives: {ours:.2f} s; "
          f"reportlab alone {bare:.2f} s; ratio {ours / bare:.2f}")
    print(f"whole print against reportlab alone: {whole / bare:.1f} x")
    print(f"goal: writing <= 6 x reportlab alone: {'kept' if ours <= 6 * bare else 'MISSED'}")


if __name__ == "__main__":
    main()
