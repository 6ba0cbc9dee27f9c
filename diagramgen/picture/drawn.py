"""An outline the user drew over the photograph: an SVG file with the photograph in it or without."""

from __future__ import annotations

import numpy as np

from diagramgen.build.svgfile import read_svg_over
from diagramgen.picture.plane import Numbers


class NotOver(ValueError):  # noqa: N818 - a drawing that does not lie over the picture, in the technician's words
    """The drawing does not lie over the picture; ``remedy`` says what to do."""

    def __init__(self, message: str, remedy: str):
        super().__init__(message)
        self.remedy = remedy


def drawn_outline(text: str, wanted: str, width: int, height: int) -> Numbers:
    """The outline in picture elements; raises ``BadSvg``, ``BadPath`` or ``NotOver``.

    Where the file shows the photograph, that says how its units fall on picture elements; else one unit is one.
    """
    path, picture = read_svg_over(text, wanted)
    points = np.array(path.flat(0.02 if picture is None else 0.05 * abs(picture[0]) / width), dtype=float)
    if picture is not None:
        w, h, (a, b, c, d, e, f) = picture
        if abs(w * height - h * width) > 0.01 * w * height:
            raise NotOver(f"the photograph in the drawing measures {w:g} x {h:g}, this one {width} x {height}",
                          "Place the whole photograph in the drawing, unstretched, the same that is named here.")
        whole = np.array([[a, c, e], [b, d, f], [0.0, 0.0, 1.0]])
        lifted = np.column_stack([points, np.ones(len(points))]) @ np.linalg.inv(whole).T
        # From the photograph's box to elements whose middles lie on whole numbers.
        points = lifted[:, :2] * np.array([width / w, height / h])
    points = points - 0.5
    if points.min() < -1 or points[:, 0].max() > width or points[:, 1].max() > height:
        raise NotOver("the outline drawn reaches beyond the picture",
                      "Draw it in picture elements of this picture, or leave the photograph in the drawing.")
    return points
