"""The preview's page: a frame that stays, and parts that are put in anew when the file was saved.

``page.html.j2`` is the frame, ``parts.html.j2`` the parts; both escape every text of a build or of a problem. The page
lets in its own style and script alone, by their digest, and asks nothing of any other machine.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import PurePath
from typing import Any

from diagramgen.features.preview.redraw import Shown
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import ADVICE, Problem
from diagramgen.kernel.tokens import custom_properties
from diagramgen.lettering import FAMILY
from diagramgen.model.coil_expression import NOTATION_KEY, holds_signs
from diagramgen.writers.markup import Markup
from diagramgen.writers.templates import page_style, rendered, rendered_macros, shipped, source_of

PARTS = ("head", "status", "wiring", "problems", "sounds", "file")
"""Parts of the page that change: macros of ``parts.html.j2``, and the ids they stand under."""
MOST_LINES, MOST_PROBLEMS = 3000, 300
"""Lines of a file and problems shown at most: beyond, something else is wrong."""
FOOT = ("This page follows the file as long as the preview runs in the terminal; only this machine can see it. What is "
        "soldered by is print's sheets.")


@dataclass(frozen=True)
class _ToldProblem:
    """A problem as the list shows it."""

    code: str
    word: str
    """Its severity; names its looks too."""
    where: str
    line: str
    """Id of the line it speaks of; empty where that is not on the page."""
    message: str
    remedy: str


@dataclass(frozen=True)
class _Line:
    """A line of a file, and the word for the worst problem on it (empty: none)."""

    own: str
    """Its id on the page."""
    word: str
    text: str


@dataclass(frozen=True)
class _Listing:
    """A file as far as it is shown, and how many lines are left out."""

    name: str
    lines: tuple[_Line, ...]
    left: int


def policy(script: str, style: str) -> str:
    """State what the page may load and run, as the value of a Content-Security-Policy header (W3C)."""
    return ("default-src 'none'; connect-src 'self'; font-src 'self'; img-src data:; "
            f"script-src '{source_of(script)}'; style-src '{source_of(style)}'; "
            "base-uri 'none'; form-action 'none'; frame-ancestors 'none'")


def script_and_style() -> tuple[Markup, Markup]:
    """Read what stands in the page beside its words; raises ``OSError`` when the install is broken."""
    faces = "".join(f"@font-face{{font-family:'{FAMILY}';font-weight:{weight};src:url({name}.ttf)}}\n"
                    for name, weight in (("regular", 400), ("bold", 700)))
    advice = f":root{{--advice:'{ADVICE} '}}\n"
    style = Markup(custom_properties() + advice + faces + page_style() + shipped("preview/preview.css"))
    return shipped("preview/preview.js"), style


def whole_page(shown: Shown, version: int) -> bytes:
    """Write the page with what is known now, in UTF-8; ``version`` is the number the page asks for news with."""
    script, style = script_and_style()
    return rendered("preview/page.html.j2", {
        "title": title_of(shown), "style": style, "script": script, "version": version, "foot": FOOT,
        "line_ids": json.dumps(_line_ids(shown)), "parts": parts_of(shown),
    }).encode()


def change(shown: Shown, version: int) -> bytes:
    """Write what the page takes in place of what it shows, as JSON in UTF-8."""
    made: dict[str, Any] = {"version": version, "title": title_of(shown), "parts": parts_of(shown),
                            "lines": _line_ids(shown)}
    return json.dumps(made, ensure_ascii=False).encode()


def parts_of(shown: Shown) -> dict[str, Markup]:
    """Write the inside of every part that changes: id it stands under -> markup."""
    name = PurePath(shown.file).name
    known = {"shown": shown, "name": name, "under": " · ".join(t for t in (name, shown.under) if t),
             "says": status_of(shown)}
    known |= _wiring(shown) | _problems(shown) | {"sounds_old": _sounds_old(shown), "listings": list(_listings(shown))}
    return rendered_macros("preview/parts.html.j2", PARTS, known)


def title_of(shown: Shown) -> str:
    """What the window is called: what is wrong comes first, to be seen on a narrow tab."""
    errors = _counted(shown.problems, Severity.ERROR)
    return f"{errors + ': ' if errors else ''}{PurePath(shown.file).name} preview"


def status_of(shown: Shown) -> str:
    """One sentence on where the drawing stands, read out when it changes."""
    if not shown.count:
        return "Drawing for the first time ..."
    if shown.fault:
        return f"Drawing {shown.count} failed inside the program; what is shown is older. ({shown.fault})"
    said = ", ".join(c for s in (Severity.ERROR, Severity.WARNING, Severity.NOTE)
                     if (c := _counted(shown.problems, s))) or "no problems"
    if shown.solving:
        return f"Drawing {shown.count}: the diagram is drawn, the circuit is being solved ..."
    check = f", file check {shown.checksum}" if shown.checksum else ""
    return f"Drawing {shown.count}: {said}{check}."


def _counted(problems: Sequence[Problem], severity: Severity) -> str:
    n = sum(1 for p in problems if p.severity is severity)
    return f"{n} {severity.word}{'s' * (n > 1)}" if n else ""


def _wiring(shown: Shown) -> dict[str, Any]:
    """The diagram of the file as it stands, or the last good one, marked as old."""
    current = shown.drawn if not shown.errors else None
    words = [current.warning] if current is not None and current.warning else []
    words += ["not proved yet: the circuit is being solved"] if shown.solving else []
    old = ("OLD: drawn from an earlier save without errors (file check "
           f"{shown.good.checksum}), not from the file as it stands") if shown.good is not None else ""
    return {"current": current, "current_words": " · ".join(words), "old_words": old,
            "saved": None if current is not None or shown.solving else shown.drawn,
            "none_words": "There is no diagram yet: mend the errors first." if shown.count else
                          "The diagram is being drawn."}


def _problems(shown: Shown) -> dict[str, Any]:
    """The worst problems, as many as are shown, how many are left out, and what the signs in them mean."""
    known = {file: (i, min(len(lines), MOST_LINES)) for i, (file, lines) in enumerate(shown.texts)}
    worst = sorted(shown.problems, key=lambda p: (-p.severity, p.place))
    told = worst[:MOST_PROBLEMS]
    key = f"Coils: {NOTATION_KEY}." if any(holds_signs(p.message) for p in told) else ""
    return {"found": [_told(p, known) for p in told], "more_found": len(worst) - MOST_PROBLEMS, "signs": key}


def _told(problem: Problem, known: Mapping[str, tuple[int, int]]) -> _ToldProblem:
    place = problem.place
    file, lines = known.get(place.file, (0, 0))
    name = PurePath(place.file).name
    return _ToldProblem(
        problem.code, problem.severity.word, f"{name}, line {place.line}" if place.line else name,
        _line_id(file, place.line) if 0 < place.line <= lines else "", problem.message, problem.remedy)


def _line_id(file: int, line: int) -> str:
    return f"f{file}-l{line}"


def _sounds_old(shown: Shown) -> str:
    """What the table of sounds is stamped with where it is that of an earlier save."""
    if shown.sounds is None or shown.sounds_of == shown.checksum:
        return ""
    return "OLD: of an earlier save; " + ("the new ones are being worked out" if shown.solving
                                          else "the file as it stands was not solved")


def _listings(shown: Shown) -> Iterator[_Listing]:
    """The lines of every file at hand; those a problem speaks of are marked at their edge."""
    worst: dict[tuple[str, int], Severity] = {}
    for p in shown.problems:
        key = (p.place.file, p.place.line)
        worst[key] = max(worst.get(key, Severity.NOTE), p.severity)
    for i, (file, lines) in enumerate(shown.texts):
        words = {line: severity.word for (of, line), severity in worst.items() if of == file}
        listed = tuple(_Line(_line_id(i, n), words.get(n, ""), text) for n, text in enumerate(lines[:MOST_LINES], 1))
        yield _Listing(PurePath(file).name, listed, len(lines) - MOST_LINES)


def _line_ids(shown: Shown) -> dict[str, str]:
    """Lead or part -> the id of its line, for the diagram that is shown."""
    picture = shown.drawn or shown.good
    if picture is None or picture.checksum != shown.checksum or not shown.texts:
        return {}
    return {subject: _line_id(0, line) for subject, line in picture.lines.items()}
