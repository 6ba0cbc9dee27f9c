"""Makes the pictures in docs/gallery from the samples: run ``python tools/make_gallery.py`` in the checkout."""

from __future__ import annotations

import io
import sys
from collections.abc import Mapping
from pathlib import Path

from PIL import Image, ImageDraw

from diagramgen.analysis import examine
from diagramgen.sheets.printing import compose
from diagramgen.sheets.sheet_kind import Request
from diagramgen.writers.atomic_files import write_all

ROOT = Path(__file__).resolve().parent.parent
GALLERY = ROOT / "docs" / "gallery"
DPI = 92.0
LARGEST = 200_000
"""Bytes that no picture may exceed: a reader may be on a slow line."""
SHOWN_WHOLE = "baritone"
"""The sample of which more than the diagram is shown."""
MORE = {"bench": "bench", "controls": "bench-2", "leads": "leads-1", "jig": "jig", "proof": "proof-1",
        "test": "test-1", "cover": "cover"}
"""Name in the gallery -> picture of the print."""
CONTACT = "contact-sheet.png"
CELL = (300, 232)
"""Width and height of a picture on the contact sheet with its name, dots."""


def small(picture: Image.Image) -> bytes:
    """The picture with 128 colours, chosen so that every colour of a lead keeps its own: a third of the bytes.

    Raises ``ValueError`` where it is larger than ``LARGEST`` all the same.
    """
    out = io.BytesIO()
    picture.convert("RGB").quantize(
        128, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(out, "PNG", optimize=True)
    if len(out.getvalue()) > LARGEST:
        raise ValueError(f"a picture takes {len(out.getvalue())} bytes, more than {LARGEST}: lower DPI")
    return out.getvalue()


def pictures_of(build: Path) -> dict[str, Image.Image]:
    """The diagram of a build, and more of one; nothing of a build with errors."""
    proof = examine(build)
    if proof.has_errors:
        return {}
    whole = build.stem == SHOWN_WHOLE
    files = compose(proof, Request(png=True, dpi=DPI, sheets=("diagram", *MORE) if whole else ("diagram",)))
    wanted = {"diagram": "diagram", **(MORE if whole else {})}
    return {f"{build.stem}-{name}.png": Image.open(io.BytesIO(files[f"{picture}.png"]))
            for name, picture in wanted.items()}


def contact_sheet(pictures: Mapping[str, Image.Image], across: int = 4) -> Image.Image:
    """All pictures small, each with its name below."""
    down = -(-len(pictures) // across)
    sheet = Image.new("RGB", (across * CELL[0], down * CELL[1]), "white")
    pen = ImageDraw.Draw(sheet)
    for i, (name, picture) in enumerate(pictures.items()):
        left, top = (i % across) * CELL[0], (i // across) * CELL[1]
        shown = picture.convert("RGB")
        shown.thumbnail((CELL[0] - 10, CELL[1] - 24))
        sheet.paste(shown, (left + (CELL[0] - shown.width) // 2, top + 4))
        pen.text((left + 8, top + CELL[1] - 16), name.removesuffix(".png"), fill="black")
    return sheet


def make(builds: list[Path], folder: Path) -> list[Path]:
    """Write the pictures of some builds and their contact sheet; returns what was written."""
    pictures = {name: picture for path in builds for name, picture in pictures_of(path).items()}
    made = {name: small(picture) for name, picture in pictures.items()}
    made[CONTACT] = small(contact_sheet(pictures))
    return list(write_all(folder, made))


if __name__ == "__main__":
    for place in make(sorted((ROOT / "samples").glob("*.yaml")), GALLERY):
        sys.stdout.write(f"{place.relative_to(ROOT)}\n")
