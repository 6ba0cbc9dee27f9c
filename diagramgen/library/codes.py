"""Problem codes of symbol files."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

SYMBOLS = Range("SYM-1", "symbol files", 50, was="S1")

SYM_100 = Code("SYM-100", Severity.ERROR, "A symbol file is empty or holds no keys", was="S100")
SYM_101 = Code(
    "SYM-101", Severity.ERROR, "A sum in a symbol file cannot be read or worked out",
    text="An operator or bracket is missing, or it uses a name that is no dimension of the symbol.", was="S101")
SYM_102 = Code("SYM-102", Severity.ERROR, "Two sums `[x, y]`, or a list of such pairs, are expected", was="S102")
SYM_103 = Code("SYM-103", Severity.ERROR, "Lug names are expected: one, a row, or rows", was="S103")
SYM_104 = Code("SYM-104", Severity.ERROR, "A typical value cannot be read as what it is said to be", was="S104")
SYM_105 = Code("SYM-105", Severity.ERROR, "A figure is not exactly one of disc, box, polygon, line", was="S105")
SYM_106 = Code("SYM-106", Severity.ERROR, "A lug pattern is not exactly one of row, grid, arc, spot", was="S106")
SYM_110 = Code(
    "SYM-110", Severity.ERROR, "File and symbol have different names",
    advice="File and symbol have the same name.", was="S110")
SYM_111 = Code("SYM-111", Severity.ERROR, "The outside drawing has other lugs than the true one", was="S111")
SYM_112 = Code(
    "SYM-112", Severity.ERROR, "An element, metal, contact or lug word names a lug the symbol lacks", was="S112")
SYM_113 = Code("SYM-113", Severity.ERROR, "An element lacks an end, or has one too many", was="S113")
SYM_114 = Code("SYM-114", Severity.ERROR, "An element uses a value that is not given", was="S114")
SYM_115 = Code("SYM-115", Severity.ERROR, "An element or a closure table names a control the symbol lacks", was="S115")
SYM_116 = Code("SYM-116", Severity.ERROR, "A lug is laid out twice", was="S116")
SYM_117 = Code("SYM-117", Severity.ERROR, "A symbol has no lug", was="S117")
SYM_118 = Code(
    "SYM-118", Severity.ERROR, "Positions, their words and the rows of a closure table do not match", was="S118")
SYM_119 = Code("SYM-119", Severity.ERROR, "A mode names a control or position that does not exist", was="S119")
SYM_120 = Code(
    "SYM-120", Severity.ERROR, "A symbol of your own has the name of a shipped one",
    text="Sheets made anew from old builds would show another part than before.",
    advice="Give your own symbol another name, so that old sheets stay true.", was="S120")
SYM_121 = Code(
    "SYM-121", Severity.ERROR, "A symbol file of your own cannot be read, is no plain file, holds a build, or is a "
    "link that leads out of its folder", was="S121")
