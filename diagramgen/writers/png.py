"""PNG pictures of a sheet, drawn by an optional renderer from the outline SVG."""

from __future__ import annotations

from diagramgen.drawing.scene import Sheet
from diagramgen.kernel.errors import NotAvailable
from diagramgen.writers.svg import svg_bytes


class PngUnavailable(NotAvailable):
    """The renderer for PNG is not installed; the message says how to get it."""


def png_bytes(sheet: Sheet, dpi: float = 150) -> bytes:
    """The sheet as a PNG picture at ``dpi`` dots per inch.

    Letters are drawn from outlines, so that no font of the machine takes the place of ours.
    Raises ``PngUnavailable`` where the renderer or its system library is missing.
    """
    try:
        import cairosvg
    except (ImportError, OSError) as missing:
        # without the system library the import fails with OSError, not ImportError
        raise PngUnavailable(
            "PNG pictures need the package cairosvg (./run extras png, or pip install '.[png]' in the program's "
            "folder) and the system library libcairo (Debian: apt install libcairo2). SVG and PDF need neither."
        ) from missing
    drawn: bytes = cairosvg.svg2png(bytestring=svg_bytes(sheet, "outline"), dpi=dpi)
    return drawn
