"""Makes the pictures in docs/gallery from the samples: run ``python tools/make_gallery.py`` in the checkout."""

from __future__ import annotations

import io
from pathlib import Path

from PIL import Image

from diagramgen.pipeline import Request, compose, examine
from diagramgen.writers.files import write_all

ROOT = Path(__file__).resolve().parent.parent
DPI = 92.0


def _small(data: bytes) -> bytes:
    """The picture with 128 colours: a third of the bytes, and no eye sees the difference."""
    out = io.BytesIO()
    Image.open(io.BytesIO(data)).convert("RGB").quantize(128).save(out, "PNG", optimize=True)
    return out.getvalue()


def main() -> None:
    """Every good sample's diagram; for the baritone the bench page and the lead list too."""
    pictures: dict[str, bytes] = {}
    for path in sorted((ROOT / "samples").glob("*.yaml")):
        proof = examine(path)
        if proof.has_errors:
            continue
        files = compose(proof, Request(png=True, dpi=DPI))
        pictures[f"{path.stem}-diagram.png"] = files["diagram.png"]
        if path.stem == "baritone":
            pictures["baritone-bench.png"] = files["bench.png"]
            pictures["baritone-leads.png"] = files["leads-1.png"]
            pictures["baritone-jig.png"] = files["jig.png"]
    pictures = {name: _small(data) for name, data in pictures.items()}
    for place in write_all(ROOT / "docs" / "gallery", pictures):
        print(place.relative_to(ROOT))


if __name__ == "__main__":
    main()
