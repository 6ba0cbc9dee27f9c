"""The preview's page: a frame that stays, and parts that are put in anew when the file was saved.

Every text of a build or of a problem passes ``markup.escaped``; the page lets in its own style and script alone, by
their digest, and asks nothing of any other machine.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Mapping, Sequence
from pathlib import PurePath
from typing import Any

from diagramgen.features.preview.drawn import SoundTable
from diagramgen.features.preview.redraw import Picture, Shown
from diagramgen.kernel.diagnostics import ADVICE, Problem, Severity
from diagramgen.kernel.resources import folder
from diagramgen.kernel.tokens import custom_properties
from diagramgen.lettering import FAMILY
from diagramgen.writers.markup import Markup, Plain, element, joined

PARTS = ("head", "status", "wiring", "problems", "sounds", "file")
"""Parts of the page that change, by the id they stand under."""
MOST_LINES, MOST_PROBLEMS = 3000, 300
"""Lines of a file and problems shown at most: beyond, something else is wrong."""
EMPTY = Markup("")


def policy(script: str, style: str) -> str:
    """What the page may load and run (Content Security Policy, W3C)."""
    return (f"default-src 'none'; connect-src 'self'; font-src 'self'; img-src data:; script-src '{_digest(script)}'; "
            f"style-src '{_digest(style)}'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")


def script_and_style() -> tuple[str, str]:
    """What stands in the page beside its words."""
    pages = folder("page")
    faces = "".join(f"@font-face{{font-family:'{FAMILY}';font-weight:{weight};src:url({name}.ttf)}}\n"
                    for name, weight in (("regular", 400), ("bold", 700)))
    advice = f":root{{--advice:'{ADVICE} '}}\n"
    sheets = "".join((pages / name).read_text(encoding="utf-8") for name in ("page.css", "preview.css"))
    style = custom_properties() + advice + faces + sheets
    return (pages / "preview.js").read_text(encoding="utf-8"), style


def whole_page(shown: Shown, version: int) -> bytes:
    """The page with what is known now, in UTF-8."""
    script, style = script_and_style()
    parts = parts_of(shown)
    head = element(
        "head", element("meta", charset="utf-8"),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("meta", name="referrer", content="no-referrer"),
        element("title", Plain(title_of(shown))), element("link", rel="icon", href="data:,"),
        element("style", Markup(style)),
        element("noscript", element("meta", http_equiv="refresh", content="3")),
    )
    side = element("div", _section("problems", "What was found", parts), _section("file", "The file", parts),
                   class_="side")
    stage = element("div", _section("wiring", "Wiring", parts, _zoom()), side, class_="desk")
    body = element(
        "body", element("header", parts["head"], id="head"),
        element("p", parts["status"], id="status", role="status", aria_live="polite"),
        element("main", stage, _section("sounds", "What each position gives", parts)),
        element("footer", element("p", Plain("This page follows the file as long as the preview runs in the terminal; "
                                             "only this machine can see it. What is soldered by is print's sheets."))),
        element("script", Markup(script)), data_version=str(version), data_lines=_lines_known(shown),
    )
    return f"<!DOCTYPE html>\n{element('html', head, body, lang='en')}\n".encode()


def change(shown: Shown, version: int) -> bytes:
    """What the page takes in place of what it shows, as JSON."""
    made: dict[str, Any] = {"version": version, "title": title_of(shown), "parts": parts_of(shown),
                            "lines": json.loads(_lines_known(shown))}
    return json.dumps(made, ensure_ascii=False).encode()


def parts_of(shown: Shown) -> dict[str, Markup]:
    """The inside of every part that changes."""
    return {"head": _head(shown), "status": joined(Plain(status_of(shown))), "wiring": _wiring(shown),
            "problems": _problems(shown), "sounds": _sounds(shown), "file": _file(shown)}


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


def _section(name: str, heading: str, parts: Mapping[str, Markup], extra: Markup = EMPTY) -> Markup:
    top = element("div", element("h2", Plain(heading), id=f"h-{name}"), extra, class_="top")
    return element("section", top, element("div", parts[name], id=name), aria_labelledby=f"h-{name}")


def _zoom() -> Markup:
    buttons = (("smaller", "−", "Smaller diagram"), ("fit", "fit", "Fit the diagram to the page"),
               ("larger", "+", "Larger diagram"))
    return element("div", *(element("button", Plain(text), type="button", data_zoom=name, aria_label=says)
                            for name, text, says in buttons), class_="zoom", hidden=True)


def _head(shown: Shown) -> Markup:
    name = PurePath(shown.file).name
    under = " · ".join(t for t in (name, shown.under) if t)
    names = element("div", element("h1", Plain(shown.title or name)), element("p", Plain(under)), class_="names")
    return joined(names, element("p", Plain("PREVIEW"), class_="preview"))


def _wiring(shown: Shown) -> Markup:
    """The diagram of the file as it stands, or the last good one, marked as old."""
    current = shown.drawn if not shown.errors else None
    if current is not None:
        words = [current.warning] if current.warning else []
        words += ["not proved yet: the circuit is being solved"] if shown.solving else []
        return joined(_stamp(" · ".join(words), "soft" if shown.solving else ""),
                      _picture(current, "diagram", "Wiring diagram"))
    saved = EMPTY
    if shown.drawn is not None and not shown.solving:
        inside = joined(_stamp(shown.drawn.warning), _picture(shown.drawn, "saved", "Wiring as saved, not proved"))
        saved = element("details", element("summary", Plain("The file as saved, drawn in spite of its errors")), inside)
    if shown.good is None:
        why = "There is no diagram yet: mend the errors first." if shown.count else "The diagram is being drawn."
        return joined(element("p", Plain(why), class_="hint none"), saved)
    says = f"OLD: drawn from an earlier save without errors (file check {shown.good.checksum}), not from the file as " \
           "it stands"
    return joined(_stamp(says, "old"), saved,
                  element("div", _picture(shown.good, "diagram", "Wiring diagram of an earlier save"), class_="old"))


def _stamp(words: str, kind: str = "") -> Markup:
    return element("p", Plain(words), class_=f"stamp {kind}".strip()) if words else EMPTY


def _picture(picture: Picture, name: str, says: str) -> Markup:
    leads = sum(1 for subject in picture.lines if subject.startswith("lead:"))
    drawn = element("div", picture.markup, role="img", id=name, class_="picture-of",
                    aria_label=f"{says}, {leads} leads")
    hint = "Point at a mark to read what it is; click it to find its line."
    caption = element("p", Plain(hint), class_="hint caption")
    return joined(element("div", drawn, class_="scroll", tabindex="0", role="region", aria_label=says), caption)


def _problems(shown: Shown) -> Markup:
    if not shown.problems:
        none = "No problems." if shown.count and not shown.solving else "None so far."
        return element("p", Plain(none), class_="hint")
    known = {file: (i, min(len(lines), MOST_LINES)) for i, (file, lines) in enumerate(shown.texts)}
    worst = sorted(shown.problems, key=lambda p: (-p.severity, p.place))
    items = [_problem(p, known) for p in worst[:MOST_PROBLEMS]]
    more = len(worst) - MOST_PROBLEMS
    after = element("p", Plain(f"and {more} more"), class_="hint") if more > 0 else EMPTY
    return joined(element("ol", *items, class_="found"), after)


def _problem(problem: Problem, known: Mapping[str, tuple[int, int]]) -> Markup:
    place, word = problem.place, problem.severity.word
    file, lines = known.get(place.file, (0, 0))
    name = PurePath(place.file).name
    said = f"{name}, line {place.line}" if place.line else name
    where = (element("a", Plain(said), href=f"#{_line_id(file, place.line)}", class_="jump",
                     data_key=f"{problem.code} {problem.message}")
             if 0 < place.line <= lines else element("span", Plain(said)))
    remedy = element("p", Plain(problem.remedy), class_="remedy") if problem.remedy else EMPTY
    head = element("p", element("b", Plain(f"{word} {problem.code}"), class_=word), Plain(" "), where)
    return element("li", head, element("p", Plain(problem.message)), remedy, class_=word)


def _line_id(file: int, line: int) -> str:
    return f"f{file}-l{line}"


def _sounds(shown: Shown) -> Markup:
    table = shown.sounds
    if table is None:
        return element("p", Plain("Being worked out." if shown.solving or not shown.count else
                                  "Not known: the circuit was not solved."), class_="hint")
    old = shown.sounds_of != shown.checksum
    says = "OLD: of an earlier save; " + ("the new ones are being worked out" if shown.solving
                                          else "the file as it stands was not solved")
    return joined(_stamp(says, "soft" if shown.solving else "old") if old else EMPTY,
                  element("p", Plain(table.says), class_="hint"), _table(table, old))


def _table(table: SoundTable, old: bool) -> Markup:
    head = element("tr", *(element("th", Plain(h), scope="col") for h in table.heads))
    rows = [element("tr", element("th", Plain(row[0]), scope="row"),
                    *(element("td", Plain(cell or "–")) for cell in row[1:])) for row in table.rows]
    made = element("table", element("thead", head), element("tbody", *rows))
    return element("div", made, class_="scroll old" if old else "scroll", tabindex="0", role="region",
                   aria_label="Table of positions")


def _file(shown: Shown) -> Markup:
    """The lines of every file at hand; those a problem speaks of are marked at their edge."""
    if not shown.texts:
        return element("p", Plain("The file cannot be read." if shown.count else "Being read."), class_="hint")
    worst: dict[tuple[str, int], Severity] = {}
    for p in shown.problems:
        key = (p.place.file, p.place.line)
        worst[key] = max(worst.get(key, Severity.NOTE), p.severity)
    old = _stamp("OLD: the lines read last; the file cannot be read now", "old") if shown.texts_old else EMPTY
    return joined(old, *(_lines(i, file, lines, worst) for i, (file, lines) in enumerate(shown.texts)))


def _lines(number: int, file: str, lines: Sequence[str], worst: Mapping[tuple[str, int], Severity]) -> Markup:
    items = []
    for n, text in enumerate(lines[:MOST_LINES], 1):
        found = worst.get((file, n))
        said = element("span", Plain(f"{found.word}: "), class_="unseen") if found is not None else EMPTY
        items.append(element("li", said, element("code", Plain(text or " ")), id=_line_id(number, n), tabindex="-1",
                             class_=found.word if found is not None else None))
    left = len(lines) - MOST_LINES
    more = element("p", Plain(f"{left} more lines are not shown"), class_="hint") if left > 0 else EMPTY
    name = PurePath(file).name
    return joined(element("h3", Plain(name)) if number else EMPTY,
                  element("div", element("ol", *items, class_="lines"), class_="scroll text", tabindex="0",
                          role="region", aria_label=f"Lines of {name}"), more)


def _lines_known(shown: Shown) -> str:
    """Lead or part -> the id of its line, for the diagram that is shown."""
    picture = shown.drawn or shown.good
    if picture is None or picture.checksum != shown.checksum or not shown.texts:
        return "{}"
    return json.dumps({subject: _line_id(0, line) for subject, line in picture.lines.items()})


def _digest(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode("ascii")
