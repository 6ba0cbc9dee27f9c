"""Draws docs/picture-steps.png: a photograph that never was, straightened with its outline, and the outline alone."""

from __future__ import annotations

import io
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "picture")]

from making import card_photo  # noqa: E402
from PIL import Image, ImageDraw  # noqa: E402
from scene import as_file  # noqa: E402

from diagramgen.features.trace.compute import CARD, Known, trace  # noqa: E402
from diagramgen.features.trace.open_picture import open_picture  # noqa: E402
from diagramgen.features.trace.rectify import straightened  # noqa: E402
from diagramgen.kernel.diagnostics import Diagnostics, Location  # noqa: E402
from diagramgen.kernel.tokens import ACCENT, ERROR_INK  # noqa: E402

HIGH = 300
"""Picture elements."""
GAP = 14


def main() -> None:
    """Write the picture."""
    say = Diagnostics()
    picture = open_picture(as_file(card_photo()), Location("photo.jpg"), say)
    found = trace(picture, Known(card=CARD), Location("photo.jpg"), say) if picture else None
    if picture is None or found is None:
        sys.exit("\n".join(p.text() for p in say))
    flat = straightened(picture, found)
    first = Image.fromarray(picture.colours)
    second = Image.open(io.BytesIO(flat.data))
    third = Image.new("RGB", second.size, "white")
    fine = second.width / flat.box.width
    line = [((p.x - flat.box.left) * fine, (p.y - flat.box.top) * fine)
            for p in [*found.path.flat(0.02), found.path.start]]
    for image, colour in ((second, ACCENT), (third, ACCENT)):
        ImageDraw.Draw(image).line(line, fill=colour, width=4, joint="curve")
    drawing = ImageDraw.Draw(third)
    for to in (found.path.start, *(piece.to for piece in found.path.pieces)):
        x, y = (to.x - flat.box.left) * fine, (to.y - flat.box.top) * fine
        drawing.ellipse((x - 7, y - 7, x + 7, y + 7), fill="white", outline=ERROR_INK, width=3)
    scaled = [image.resize((round(image.width * HIGH / image.height), HIGH), Image.Resampling.LANCZOS)
              for image in (first, second, third)]
    whole = Image.new("RGB", (sum(i.width for i in scaled) + 2 * GAP, HIGH), "white")
    x = 0
    for image in scaled:
        whole.paste(image, (x, 0))
        x += image.width + GAP
    whole.quantize(48, dither=Image.Dither.NONE).save(ROOT / "docs" / "picture-steps.png", optimize=True)


if __name__ == "__main__":
    main()
