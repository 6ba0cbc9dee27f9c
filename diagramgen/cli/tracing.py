"""What ``trace`` writes: the check picture, and the outline into a build."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from diagramgen.problems import Collector, Place, nearest

if TYPE_CHECKING:
    from diagramgen.picture.opening import Picture
    from diagramgen.picture.tracing import Traced


def check_files(name: str, picture: Picture, traced: Traced, paper: str, words: Sequence[str]) -> dict[str, bytes]:
    """The check picture as PDF and SVG."""
    from diagramgen.lettering import wrap
    from diagramgen.picture.straightened import straightened
    from diagramgen.sheets.paper import PAPERS
    from diagramgen.sheets.tracecheck import check_sheet
    from diagramgen.writers.pdf import pdf_bytes
    from diagramgen.writers.svg import svg_bytes

    flat = straightened(picture, traced)
    advice = "Printed at 100 % and laid on the instrument, the line must run along the rim."
    lines = [line for text in (*words, advice) for line in wrap(text, 2.3, 165.0)]
    sheet = check_sheet(flat.data, flat.box, traced.path, lines, _plain(name), PAPERS[paper])
    return {"trace-check.pdf": pdf_bytes([sheet], sheet.title), "trace-check.svg": svg_bytes(sheet)}


def _plain(name: str) -> str:
    """A file's name as the shipped letters can set it."""
    from diagramgen.lettering.face import missing_characters

    return name if not missing_characters(name) else "picture"


def into_build(path: Path, cavity: str | None, shape: str, say: Collector) -> tuple[bytes, bytes] | None:
    """The build's bytes, and those with the outline at its cavity; None after a problem was said."""
    from diagramgen.build.outlining import cavity_names, outlined_bytes
    from diagramgen.cli.circuits import read
    from diagramgen.cli.inplace import bytes_of

    before, _ = read(path, None, quiet := Collector({}))
    data = bytes_of(path)
    if before is None or data is None:
        say.extend(quiet.sorted())
        return None
    names = cavity_names(data)
    name = cavity or (names[0] if len(names) == 1 else "")
    place = Place(str(path))
    if not name:
        say.error("J813", place, "say which cavity the outline belongs to" if names else "the build has no cavity yet",
                  f"Add --cavity with one of {', '.join(names)}." if names else
                  f"Add these lines to it:\n       cavities:\n         controls: {{shape: {shape}}}")
        return None
    try:
        after = outlined_bytes(data, name, shape)
    except KeyError:
        say.error("J813", place, f"the file itself has no cavity '{name}' to write into", nearest(name, names))
        return None
    if not _read_back(path, after, before.cavities.keys(), name):
        say.error("J813", place, f"the outline cannot be written at '{name}' without disturbing the rest",
                  f"Write it by hand: shape: {shape}")
        return None
    return data, after


def _read_back(path: Path, data: bytes, cavities: object, name: str) -> bool:
    """Whether the new bytes are read as a build with the same cavities and this one's outline."""
    from diagramgen.build.reader import read_build
    from diagramgen.library.catalogue import shipped
    from diagramgen.sources import Sources

    build = read_build(data, str(path), Sources(path.parent), shipped(), Collector({}))
    key = " ".join(name.lower().split())
    return build is not None and build.cavities.keys() == cavities and key in build.cavities \
        and build.cavities[key].outline is not None
