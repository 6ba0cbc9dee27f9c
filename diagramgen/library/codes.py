"""Problem codes of symbol files."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

SYMBOLS = Range("S1", "symbol files", 50)

S100 = Code("S100", Severity.ERROR, "A symbol file is empty or holds no keys")
S101 = Code(
    "S101", Severity.ERROR, "A sum in a symbol file cannot be read or worked out",
    text="An operator or bracket is missing, or it uses a name that is no dimension of the symbol.")
S102 = Code("S102", Severity.ERROR, "Two sums `[x, y]`, or a list of such pairs, are expected")
S103 = Code("S103", Severity.ERROR, "Lug names are expected: one, a row, or rows")
S104 = Code("S104", Severity.ERROR, "A typical value cannot be read as what it is said to be")
S105 = Code("S105", Severity.ERROR, "A figure is not exactly one of disc, box, polygon, line")
S106 = Code("S106", Severity.ERROR, "A lug pattern is not exactly one of row, grid, arc, spot")
S110 = Code(
    "S110", Severity.ERROR, "File and symbol have different names",
    advice="File and symbol have the same name.")
S111 = Code("S111", Severity.ERROR, "The outside drawing has other lugs than the true one")
S112 = Code("S112", Severity.ERROR, "An element, metal, contact or lug word names a lug the symbol lacks")
S113 = Code("S113", Severity.ERROR, "An element lacks an end, or has one too many")
S114 = Code("S114", Severity.ERROR, "An element uses a value that is not given")
S115 = Code("S115", Severity.ERROR, "An element or a closure table names a control the symbol lacks")
S116 = Code("S116", Severity.ERROR, "A lug is laid out twice")
S117 = Code("S117", Severity.ERROR, "A symbol has no lug")
S118 = Code("S118", Severity.ERROR, "Positions, their words and the rows of a closure table do not match")
S119 = Code("S119", Severity.ERROR, "A mode names a control or position that does not exist")
S120 = Code(
    "S120", Severity.ERROR, "A symbol of your own has the name of a shipped one",
    text="Sheets made anew from old builds would show another part than before.",
    advice="Give your own symbol another name, so that old sheets stay true.")
S121 = Code(
    "S121", Severity.ERROR, "A symbol file of your own cannot be read, is no plain file, holds a build, or is a link "
    "that leads out of its folder")
