"""Problem codes of an outline traced from a picture."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

PICTURE = Range("J8", "an outline from a picture", 190)

J801 = Code(
    "J801", Severity.ERROR, "The white sheet or the four marks of the card were not found in the picture",
    text="They must lie in it whole, flat, sharp and without glare.",
    advice="Lay them so, or give the corners by hand with `--corners`.")
J802 = Code(
    "J802", Severity.ERROR, "The picture or the drawing cannot be read",
    text="It is not there, it is broken, or it is no picture in JPEG, PNG, TIFF, BMP or WebP.")
J803 = Code(
    "J803", Severity.ERROR, "The picture is too large (60 MB, 60 million picture elements) or too small (200 picture "
    "elements) to be measured")
J804 = Code(
    "J804", Severity.ERROR, "The scale cannot be right",
    text="Corners are not clockwise from the upper left, three of them lie on one line, points are too near to each "
         "other or outside the picture, or the outline has a size no cavity has. Places count in picture elements "
         "from the upper left of the picture as a viewer shows it, turned upright.")
J805 = Code(
    "J805", Severity.ERROR, "No dark region of a cavity's size was found in brighter wood, or none at the point given "
    "with `--inside`",
    text="A cavity with bright foil or paint is better drawn by hand (`--drawn`).")
J806 = Code(
    "J806", Severity.ERROR, "The dark region goes on beyond the edge of the picture, so that its rim is not all there",
    advice="Take a photograph with wood all round the cavity, or draw the outline over it (--drawn).")
J807 = Code(
    "J807", Severity.ERROR, "A part of the rim shows no clear edge",
    text="Up to two fifths of the rim are drawn through from their neighbours; beyond that nothing is taken.",
    advice="Look at the check picture.",
    also=((Severity.WARNING, "where two fifths of the rim or less are unclear"),))
J808 = Code(
    "J808", Severity.ERROR, "The outline drawn over the picture cannot be used: it is open, or it does not lie over "
    "this picture")
J809 = Code(
    "J809", Severity.WARNING, "The sheet looks as if it lay the other way than its size was given",
    advice="Width first, as it lies in the picture.")
J810 = Code(
    "J810", Severity.ERROR, "Scale and rim must lie in one plane: what lies nearer to the lens looks larger",
    text="A ruler on the floor of a cavity 38 mm deep, seen from 400 mm, makes the outline 11 mm too large on 120 mm. "
         "Where the scale is said to lie lower or higher, the height of the lens above the rim must be known too.",
    also=((Severity.NOTE, "where nothing is said of it: scale and rim are then taken to lie in one plane"),))
J811 = Code(
    "J811", Severity.NOTE, "More than one dark region has a cavity's size",
    text="The largest was taken.",
    advice="Choose another one with `--inside`.")
J812 = Code(
    "J812", Severity.WARNING, "The outline may be off by more than half a millimetre, or does not keep the tolerance "
    "asked for",
    text="The largest cause is named.",
    advice="Measure length and width of the cavity and compare before anything is cut.")
J813 = Code(
    "J813", Severity.ERROR, "The outline cannot be written into the build: it names no such cavity, or its entry "
    "cannot be changed without disturbing the rest",
    text="The lines to write by hand are printed.")
