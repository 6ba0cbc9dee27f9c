"""Make the two faces shipped in ``diagramgen/fonts`` from Debian's ``fonts-dejavu-core``.

Usage: ``python tools/make_fonts.py [SOURCE_FOLDER]``. The same source gives the same bytes. Kerning,
ligatures and hints are left out on purpose: then every program that sets the text uses the bare advance
widths, and what was measured for the layout is what is seen.
"""

from __future__ import annotations

import sys
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

SOURCE = Path("/usr/share/fonts/truetype/dejavu")
TARGET = Path(__file__).resolve().parent.parent / "diagramgen" / "fonts"
FACES = (("DejaVuSans.ttf", "Regular"), ("DejaVuSans-Bold.ttf", "Bold"))
RANGES = (
    (0x0020, 0x007E),  # Latin
    (0x00A0, 0x00FF),  # Latin-1
    (0x0100, 0x024F),  # Latin Extended-A and -B
    (0x02B0, 0x02FF),  # modifier letters: apostrophes in names
    (0x0370, 0x03FF),  # Greek
    (0x0400, 0x052F),  # Cyrillic
    (0x1E00, 0x1EFF),  # Latin Extended Additional
    (0x2010, 0x205E),  # general punctuation
    (0x2070, 0x209F),  # superscripts and subscripts
    (0x20A0, 0x20BF),  # currency
    (0x2100, 0x218F),  # letterlike, number forms
    (0x2190, 0x21FF),  # arrows
    (0x2200, 0x22FF),  # mathematics
    (0x2300, 0x2311),  # technical: diameter sign
    (0x23DA, 0x23DA),  # earth ground
    (0x2500, 0x259F),  # box drawing, blocks
    (0x25A0, 0x25FF),  # geometric shapes
    (0x2605, 0x2606),
    (0x2610, 0x2612),  # tick boxes
    (0x266D, 0x266F),  # flat, natural, sharp
    (0x26A0, 0x26A1),  # warning, high voltage
    (0x2713, 0x2718),  # ticks and crosses
    (0xFFFD, 0xFFFD),
)
NAMES = (0, 1, 2, 3, 4, 5, 6, 13, 14)


def make(source: Path, style: str, target: Path) -> None:
    """Write one subset face to ``target``."""
    options = subset.Options()
    options.layout_features = []
    options.hinting = False
    options.name_IDs = list(NAMES)
    options.notdef_outline = True
    options.recalc_timestamp = False
    options.drop_tables += ["GSUB", "GPOS", "GDEF", "kern", "FFTM", "MATH", "gasp"]
    font = TTFont(source, recalcTimestamp=False)
    job = subset.Subsetter(options)
    job.populate(unicodes=[code for first, last in RANGES for code in range(first, last + 1)])
    job.subset(font)
    full = "DG Sans" if style == "Regular" else f"DG Sans {style}"
    names = {1: "DG Sans", 2: style, 3: f"{full} 1", 4: full, 6: f"DGSans-{style}"}
    for record in list(font["name"].names):
        if record.nameID in names:
            font["name"].setName(
                names[record.nameID], record.nameID, record.platformID, record.platEncID, record.langID
            )
    font.save(target)


def main() -> None:
    """Make both faces."""
    source = Path(sys.argv[1]) if len(sys.argv) > 1 else SOURCE
    for name, style in FACES:
        target = TARGET / f"DGSans-{style}.ttf"
        make(source / name, style, target)
        print(f"{target.name}: {target.stat().st_size} bytes")


if __name__ == "__main__":
    main()
