"""Problem codes of an outline traced from a picture."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

PICTURE = Range("PHO-8", "an outline from a picture", 190, was="J8")

PHO_801 = Code(
    "PHO-801", Severity.ERROR, "The white sheet or the four marks of the card were not found in the picture",
    text="They must lie in it whole, flat, sharp and without glare.",
    advice="Lay them so, or give the corners by hand with `--corners`.", was="J801")
PHO_802 = Code(
    "PHO-802", Severity.ERROR, "The picture or the drawing cannot be read",
    text="It is not there, it is broken, or it is no picture in JPEG, PNG, TIFF, BMP or WebP.", was="J802")
PHO_803 = Code(
    "PHO-803", Severity.ERROR, "The picture is too large (60 MB, 60 million picture elements) or too small (200 "
    "picture elements) to be measured", was="J803")
PHO_804 = Code(
    "PHO-804", Severity.ERROR, "The scale cannot be right",
    text="Corners are not clockwise from the upper left, three of them lie on one line, points are too near to each "
         "other or outside the picture, or the outline has a size no cavity has. Places count in picture elements "
         "from the upper left of the picture as a viewer shows it, turned upright.", was="J804")
PHO_805 = Code(
    "PHO-805", Severity.ERROR, "No dark region of a cavity's size was found in brighter wood, or none at the point "
    "given with `--inside`",
    text="A cavity with bright foil or paint is better drawn by hand (`--drawn`).", was="J805")
PHO_806 = Code(
    "PHO-806", Severity.ERROR, "The dark region goes on beyond the edge of the picture, so that its rim is not all "
    "there",
    advice="Take a photograph with wood all round the cavity, or draw the outline over it (--drawn).", was="J806")
PHO_807 = Code(
    "PHO-807", Severity.ERROR, "A part of the rim shows no clear edge",
    text="Up to two fifths of the rim are drawn through from their neighbours; beyond that nothing is taken.",
    advice="Look at the check picture.",
    also=((Severity.WARNING, "where two fifths of the rim or less are unclear"),),
    was="J807")
PHO_808 = Code(
    "PHO-808", Severity.ERROR, "The outline drawn over the picture cannot be used: it is open, or it does not lie "
    "over this picture", was="J808")
PHO_809 = Code(
    "PHO-809", Severity.WARNING, "The sheet looks as if it lay the other way than its size was given",
    advice="Width first, as it lies in the picture.", was="J809")
PHO_810 = Code(
    "PHO-810", Severity.ERROR, "Scale and rim must lie in one plane: what lies nearer to the lens looks larger",
    text="A ruler on the floor of a cavity 38 mm deep, seen from 400 mm, makes the outline 11 mm too large on 120 mm. "
         "Where the scale is said to lie lower or higher, the height of the lens above the rim must be known too.",
    also=((Severity.NOTE, "where nothing is said of it: scale and rim are then taken to lie in one plane"),),
    was="J810")
PHO_811 = Code(
    "PHO-811", Severity.NOTE, "More than one dark region has a cavity's size",
    text="The largest was taken.",
    advice="Choose another one with `--inside`.", was="J811")
PHO_812 = Code(
    "PHO-812", Severity.WARNING, "The outline may be off by more than half a millimetre, or does not keep the "
    "tolerance asked for",
    text="The largest cause is named.",
    advice="Measure length and width of the cavity and compare before anything is cut.", was="J812")
PHO_813 = Code(
    "PHO-813", Severity.ERROR, "The outline cannot be written into the build: it names no such cavity, or its entry "
    "cannot be changed without disturbing the rest",
    text="The lines to write by hand are printed.", was="J813")
