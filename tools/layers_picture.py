#!/usr/bin/env python3
"""Draw docs/architecture-layers.svg: the rooms of the house in their layers, and every import between them.

    python tools/layers_picture.py          writes it
    python tools/layers_picture.py --check  ends with 1 where it is not what would be written
"""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "helpers")]

from imports import between_rooms, layers  # noqa: E402

from diagramgen.kernel.tokens import EDGE, INK, PAPER  # noqa: E402

PICTURE = ROOT / "docs" / "architecture-layers.svg"
WIDE, ROW, ROOM, TALL = 640.0, 54.0, 104.0, 28.0
"""Pixels: the picture, from row to row, a room."""


def picture() -> str:
    """The picture as SVG: rows from the top down, an arrow from each room to each one it imports."""
    rows = layers()
    places = {name: ((i + 1) * WIDE / (len(row) + 1), 24.0 + ROW * at)
              for at, row in enumerate(rows) for i, name in enumerate(row)}
    tall = 24.0 + ROW * len(rows)
    made = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE:g} {tall:g}" font-family="sans-serif" '
            f'font-size="13"><rect width="{WIDE:g}" height="{tall:g}" fill="{PAPER}"/>']
    for own, other, _ in sorted(between_rooms()):
        (x1, y1), (x2, y2) = places[own], places[other]
        bend = 26.0 * (abs(y2 - y1) / ROW - 1) * (1 if (x1 + x2) / 2 >= WIDE / 2 else -1)
        made.append(f'<path d="M{x1:.0f} {y1 + TALL / 2:.0f} Q{(x1 + x2) / 2 + bend:.0f} {(y1 + y2) / 2:.0f} '
                    f'{x2:.0f} {y2 - TALL / 2:.0f}" fill="none" stroke="{EDGE}" stroke-width="0.7"/>')
    for name, (x, y) in places.items():
        made.append(f'<rect x="{x - ROOM / 2:.0f}" y="{y - TALL / 2:.0f}" width="{ROOM:g}" height="{TALL:g}" rx="3" '
                    f'fill="{PAPER}" stroke="{INK}"/><text x="{x:.0f}" y="{y + 4.5:.1f}" text-anchor="middle" '
                    f'fill="{INK}">{name}</text>')
    return "\n".join([*made, "</svg>", ""])


def main() -> int:
    """Write the picture, or hold it against what lies there."""
    if "--check" in sys.argv:
        return int(PICTURE.read_text(encoding="utf-8") != picture())
    PICTURE.write_text(picture(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
