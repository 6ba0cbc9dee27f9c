"""``trace``: a cavity's outline from a photograph or a scan, and the card to photograph beside it."""

from __future__ import annotations

import math
import re
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from diagramgen.console.arguments import named
from diagramgen.console.edit_in_place import write_back
from diagramgen.console.number_types import NumberIn
from diagramgen.console.report import (
    FINE,
    HAS_ERRORS,
    fail,
    print_json,
    replace_option,
    report_problems,
    write_sheets,
)
from diagramgen.features.trace.codes import PHO_802, PHO_803, PHO_813
from diagramgen.kernel.diagnostics import Diagnostics, Location, nearest
from diagramgen.kernel.paper import PRINTED
from diagramgen.writers.overwriting import Permission

if TYPE_CHECKING:
    from diagramgen.features.trace.compute import Known, Traced
    from diagramgen.features.trace.open_picture import Picture
    from diagramgen.kernel.geometry import Point

# What ``trace`` writes: the check picture, and the outline into a build.


def check_files(name: str, picture: Picture, traced: Traced, paper: str, words: Sequence[str]) -> dict[str, bytes]:
    """The check picture as PDF and SVG."""
    from diagramgen.features.trace.check_sheet import check_sheet
    from diagramgen.features.trace.rectify import straightened
    from diagramgen.kernel.paper import PAPERS
    from diagramgen.lettering import wrap
    from diagramgen.writers.pdf import pdf_bytes
    from diagramgen.writers.svg import svg_bytes

    flat = straightened(picture, traced)
    advice = "Printed at 100 % and laid on the instrument, the line must run along the rim."
    lines = [line for text in (*words, advice) for line in wrap(text, 2.3, 165.0)]
    sheet = check_sheet(flat.data, flat.box, traced.path, lines, _plain(name), PAPERS[paper])
    return {"trace-check.pdf": pdf_bytes([sheet], sheet.title), "trace-check.svg": svg_bytes(sheet)}


def _plain(name: str) -> str:
    """A file's name as the shipped letters can set it."""
    from diagramgen.lettering.font_file import missing_characters

    return name if not missing_characters(name) else "picture"


def into_build(path: Path, cavity: str | None, shape: str, say: Diagnostics) -> tuple[bytes, bytes] | None:
    """The build's bytes, and those with the outline at its cavity; None after a problem was said."""
    from diagramgen.console.arguments import read
    from diagramgen.console.edit_in_place import bytes_of
    from diagramgen.edit.set_outline import cavity_names, outlined_bytes

    before, _ = read(path, None, quiet := Diagnostics({}))
    data = bytes_of(path)
    if before is None or data is None:
        say.extend(quiet.sorted())
        return None
    names = cavity_names(data)
    name = cavity or (names[0] if len(names) == 1 else "")
    place = Location(str(path))
    if not name:
        say.add(PHO_813, place, "say which cavity the outline belongs to" if names else "the build has no cavity yet",
                f"Add --cavity with one of {', '.join(names)}." if names else
                f"Add these lines to it:\n       cavities:\n         controls: {{shape: {shape}}}")
        return None
    try:
        after = outlined_bytes(data, name, shape)
    except KeyError:
        say.add(PHO_813, place, f"the file itself has no cavity '{name}' to write into", nearest(name, names))
        return None
    if not _read_back(path, after, before.cavities.keys(), name):
        say.add(PHO_813, place, f"the outline cannot be written at '{name}' without disturbing the rest",
                f"Write it by hand: shape: {shape}")
        return None
    return data, after


def _read_back(path: Path, data: bytes, cavities: object, name: str) -> bool:
    """Whether the new bytes are read as a build with the same cavities and this one's outline."""
    from diagramgen.kernel.provenance import Sources
    from diagramgen.library.catalogue import shipped
    from diagramgen.reader.reader import read_build

    build = read_build(data, str(path), Sources(path.parent), shipped(), Diagnostics({}))
    key = " ".join(name.lower().split())
    return build is not None and build.cavities.keys() == cavities and key in build.cavities \
        and build.cavities[key].outline is not None


_NUMBER = r"[-+]?\d+(?:\.\d+)?"


@click.command()
@click.argument("picture", type=click.Path(path_type=Path), required=False)
@click.option("--sheet", metavar="SIZE", help="What of known size lies in the picture: card, a4, letter, ... or "
              "105x148.5 (mm, width first as it lies). A white sheet and the card are found by themselves.")
@click.option("--corners", metavar="'X,Y X,Y X,Y X,Y'", help="The sheet's corners in picture elements: upper left, "
              "upper right, lower right, lower left.")
@click.option("--points", metavar="'X,Y X,Y'", help="For a scan: two points in picture elements, such as marks "
              "of a ruler ...")
@click.option("--apart", type=float, metavar="MM", help="... and how far they are apart.")
@click.option("--dpi", type=float, help="For a scan: picture elements to the inch.")
@click.option("--inside", metavar="X,Y", help="A point on the floor of the cavity that is meant.")
@click.option("--drawn", type=click.Path(path_type=Path), help="An SVG file with the outline drawn over the picture.")
@click.option("--drawn-id", default="", metavar="ID", help="Which element of it is the outline. Default: the first.")
@click.option("--scale-below", "low", type=float, default=0.0, metavar="MM", help="How far the sheet or ruler lies "
              "below the rim (less than 0: above) ...")
@click.option("--camera", type=float, metavar="MM", help="... and how high the lens was above the rim.")
@click.option("--card-measures", metavar="WxH", help="What the card measures between its marks. Default: 160x100.")
@click.option("--tolerance", type=NumberIn(0.02, 2.0), default=0.15, show_default=True, metavar="MM",
              help="How far lines and arcs may lie from the edge; at least two thirds of a picture element.")
@click.option("--level", is_flag=True, help="Lay the longest straight side level or upright.")
@click.option("--turn", type=float, default=0.0, metavar="DEGREES", help="Turn the outline, clockwise as seen.")
@click.option("--into", "build", type=click.Path(path_type=Path), help="The build file to write the outline into ...")
@click.option("--cavity", metavar="NAME", help="... and the cavity it belongs to. Default: its only one.")
@click.option("--out", "folder", type=click.Path(path_type=Path), help="Folder for the check picture (PDF and SVG).")
@click.option("--card", is_flag=True, help="Print the card to photograph beside the cavity.")
@click.option("--paper", type=click.Choice(PRINTED, case_sensitive=False), default="a4", show_default=True,
              help="Paper of the card or the check picture.")
@replace_option
@click.option("--json", "as_json", is_flag=True, help="Say it as JSON.")
def trace(picture: Path | None, **asked: Any) -> None:
    """Take the outline of a cavity from PICTURE, a photograph or a scan, and say how far it may be off.

    The scale and the rim must lie in one plane. Without --into the lines to paste are printed.

    \b
    Examples:
      diagramgen trace --card --out sheets
      diagramgen trace photo.jpg --sheet card --out sheets
      diagramgen trace photo.jpg --sheet a4 --into my.yaml --cavity controls
      diagramgen trace photo.jpg --sheet 105x148.5 --corners "400,310 1100,300 1130,1290 380,1300"
      diagramgen trace scan.png --points "120,2010 2482,2010" --apart 200
      diagramgen trace photo.jpg --sheet card --drawn outline.svg --into my.yaml
    """
    from diagramgen.kernel.diagnostics import Diagnostics, Location

    if asked["card"]:
        if picture is not None:
            raise click.UsageError("--card prints the card; it takes no picture")
        _card(asked["folder"] or Path(), asked["paper"], asked["replace"])
        return
    if picture is None:
        raise click.UsageError("name a picture, or print the card with --card")
    _need_library()
    say, place = Diagnostics({}), Location(str(picture))
    known = _known(asked)
    opened = _opened(picture, place, say)
    traced = None
    if opened is not None:
        from diagramgen.features.trace.compute import trace as traced_from

        traced = traced_from(opened, known, place, say)
    if opened is None or traced is None:
        report_problems(say.sorted())
        sys.exit(HAS_ERRORS)
    _result(picture, opened, traced, asked, say)


def _card(folder: Path, paper: str, replace: bool) -> None:
    from diagramgen.features.trace.card_sheet import trace_card
    from diagramgen.kernel.paper import PAPERS
    from diagramgen.writers.pdf import pdf_bytes
    from diagramgen.writers.svg import svg_bytes

    sheet = trace_card(PAPERS[paper.lower()])
    files = {"trace-card.pdf": pdf_bytes([sheet], sheet.title), "trace-card.svg": svg_bytes(sheet)}
    for path in write_sheets(folder, files, "", "trace", some=True, permission=Permission(replace)):
        click.echo(str(path))


def _need_library() -> None:
    try:
        import cv2  # noqa: F401
    except (ImportError, OSError):
        fail("error: outlines from pictures need the package opencv-python-headless",
             HAS_ERRORS,
             remedy="./run extras picture, or pip install '.[picture]' in the program's folder. The card (--card) "
                    "needs nothing.")


def _opened(path: Path, place: Location, say: Diagnostics) -> Picture | None:
    from diagramgen.features.trace.open_picture import MAX_BYTES, open_picture

    data = _read(path, MAX_BYTES, "picture", place, say)
    return None if data is None else open_picture(data, place, say)


def _read(path: Path, most: int, what: str, place: Location, say: Diagnostics) -> bytes | None:
    try:
        if path.is_file():
            with path.open("rb") as stream:
                data = stream.read(most + 1)
            if len(data) <= most:
                return data
            say.add(PHO_803, place, f"the {what} is larger than {most // 1_000_000} MB", "Make it smaller.")
            return None
        reason = "it is a folder" if path.is_dir() else "it is not there"
    except (OSError, ValueError) as fault:
        reason = str(getattr(fault, "strerror", "") or fault).lower()
    say.add(PHO_802, place, f"the {what} cannot be read: {reason}", "Check its name.")
    return None


def _known(asked: dict[str, Any]) -> Known:
    """What was typed, made sense of; ends with wrong usage where it is none."""
    from diagramgen.features.trace.compute import CARD, Known

    ways = [name for name in ("sheet", "points", "dpi") if asked[name] is not None]
    if len(ways) != 1:
        raise click.UsageError("say what sets the scale: exactly one of --sheet, --points with --apart, --dpi")
    if (asked["points"] is None) != (asked["apart"] is None):
        raise click.UsageError("--points and --apart belong together")
    for name, least, most in (("apart", 1, 5000), ("dpi", 30, 5000), ("camera", 20, 10000)):
        if asked[name] is not None and not least <= asked[name] <= most:
            raise click.BadParameter(f"--{name} {asked[name]:g} is absurd; expected {least} to {most}")
    if not abs(asked["low"]) <= 200 or not abs(asked["turn"]) <= 360:
        raise click.BadParameter("--scale-below takes up to 200 mm, --turn up to 360 degrees")
    card, sheet, free = None, None, False
    word = (asked["sheet"] or "").lower().strip()
    if word == "card" and asked["corners"] is None:
        card = _size(asked["card_measures"]) if asked["card_measures"] else CARD
    elif word:
        sheet, free = _sheet(word, asked["card_measures"])
    corners = _points(asked["corners"], 4, "--corners")
    if corners and sheet is None:
        raise click.UsageError("--corners needs the size of the sheet: --sheet a4")
    inside = _points(asked["inside"], 1, "--inside")
    return Known(sheet, free, corners, card, _points(asked["points"], 2, "--points"), asked["apart"] or 0.0,
                 asked["dpi"] or 0.0, inside[0] if inside else None, _drawing(asked["drawn"]), asked["drawn_id"],
                 asked["low"], asked["camera"], asked["tolerance"], asked["level"], math.radians(asked["turn"]))


def _sheet(word: str, card_measures: str | None) -> tuple[tuple[float, float], bool]:
    from diagramgen.features.trace.compute import CARD
    from diagramgen.kernel.diagnostics import nearest
    from diagramgen.kernel.paper import PAPERS

    if word == "card":
        return (_size(card_measures) if card_measures else CARD), False
    if word in PAPERS:
        return (PAPERS[word].width, PAPERS[word].height), True
    if re.match(r"\d", word):
        return _size(word), False
    raise click.BadParameter(f"'{word}' is no sheet. {nearest(word, ['card', *PAPERS])} Or give its size: 105x148.5")


def _size(text: str) -> tuple[float, float]:
    match = re.fullmatch(rf"\s*({_NUMBER})\s*(?:mm)?\s*[x×]\s*({_NUMBER})\s*(?:mm)?\s*", text.lower())
    if not match or not all(10 <= float(v) <= 2000 for v in match.groups()):
        raise click.BadParameter(f"'{text}' is no size. Write it like 105x148.5: width x height in mm, 10 to 2000")
    return float(match[1]), float(match[2])


def _points(text: str | None, count: int, option: str) -> tuple[Point, ...]:
    from diagramgen.kernel.geometry import Point

    if text is None:
        return ()
    found = re.findall(rf"({_NUMBER})\s*,\s*({_NUMBER})", text)
    rest = re.sub(rf"{_NUMBER}\s*,\s*{_NUMBER}", "", text).strip(" ;\t")
    if len(found) != count or rest or any(len(v) > 9 for pair in found for v in pair):
        raise click.BadParameter(f"{option} takes {count} point{'s' if count > 1 else ''} like "
                                 f"{' '.join(['410,322', '1804,330', '1790,1300', '402,1310'][:count])}; got '{text}'")
    return tuple(Point(float(x), float(y)) for x, y in found)


def _drawing(path: Path | None) -> str | None:
    from diagramgen.kernel.diagnostics import Diagnostics, Location
    from diagramgen.yamlfile.nodes import decode

    if path is None:
        return None
    say = Diagnostics({})
    # A photograph may stand inside the drawing, spelt out in letters.
    data = _read(path, 80_000_000, "drawing", Location(str(path)), say)
    text = None if data is None else decode(data, str(path), say)
    if text is None:
        report_problems(say.sorted())
        sys.exit(HAS_ERRORS)
    return text


def _result(picture: Path, opened: Picture, traced: Traced, asked: dict[str, Any], say: Diagnostics) -> None:
    """Say the outline, write the check picture, and write it into the build where one is named."""
    from diagramgen.features.trace.shape_words import shape_words

    shape = shape_words(traced.path)
    written = None
    if asked["build"] is not None:
        written = into_build(asked["build"], asked["cavity"], shape, say)
    files = check_files(picture.name, opened, traced, asked["paper"].lower(), _lines(traced))
    paths = []
    if asked["folder"] is not None:
        # The card stays: it rests on no picture.
        read = (picture, *named(asked["drawn"], asked["build"]))
        paths = write_sheets(asked["folder"], files, "", "trace", True, Permission(asked["replace"], read))
    if written is not None and not say.has_errors:
        write_back(asked["build"], *written)
    if as_json := asked["as_json"]:
        print_json(_json(traced, shape))
    else:
        for line in _lines(traced):
            click.echo(line)
        if written is None:
            name = asked["cavity"] or "controls"
            click.echo(f"\nPaste into the build, below 'cavities: {name}:'\n    shape: {shape}")
    for path in paths:
        click.echo(str(path), err=as_json)
    if written is not None and not say.has_errors:
        click.echo(f"written into {asked['build']}: the shape of {asked['cavity'] or 'its cavity'}", err=True)
    report_problems(say.sorted())
    sys.exit(HAS_ERRORS if say.has_errors else FINE)


def _lines(traced: Traced) -> list[str]:
    return list(_words(traced))


def _words(traced: Traced) -> Iterator[str]:
    from diagramgen.kernel.geometry import Arc
    from diagramgen.kernel.units import number

    box, e = traced.path.box(), traced.expected
    arcs = sum(isinstance(p, Arc) for p in traced.path.pieces)
    lines = len(traced.path.pieces) - arcs
    yield (f"outline {number(box.width)} x {number(box.height)} mm: {lines} lines, {arcs} arcs, "
           f"within {number(traced.off, 2)} mm of the edge seen")
    yield (f"expected error {number(e.whole, 2)} mm: scale {number(e.scale, 2)}, edge {number(e.edge, 2)}, "
           f"fit {number(e.fit, 2)}, lens {number(e.lens, 2)}, height of the scale {number(e.plane, 2)}")
    yield f"one picture element is {number(traced.step, 2)} mm" + (
        f"; the edge is {number(traced.blur)} of them wide" if traced.blur else "")


def _json(traced: Traced, shape: str) -> dict[str, Any]:
    box, e = traced.path.box(), traced.expected
    parts = {"scale": e.scale, "edge": e.edge, "fit": e.fit, "lens": e.lens, "plane": e.plane}
    return {"shape": shape, "width": round(box.width, 2), "height": round(box.height, 2),
            "expected_error": round(e.whole, 3), "parts": {k: round(v, 3) for k, v in parts.items()},
            "picture_element": round(traced.step, 4), "unclear": round(traced.unclear, 4)}
