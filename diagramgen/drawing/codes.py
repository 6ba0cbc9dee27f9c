"""Problem codes of what a drawing itself shows."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

DRAWING = Range(
    "DRW-1", "what the drawing itself shows", 130, was="D1",
    intro="Said by `check`, measured on the full-size drawing: the sheet is true, but harder to read. DRW-103 and "
          "DRW-113 are errors: there the drawing itself says something false, so they are said as soon as the leads "
          "are laid, and no sheet is written without `--anyway`.")

DRW_101 = Code(
    "DRW-101", Severity.WARNING, "Two labels lie on one another",
    advice="Move one of the parts named so that their names have room, or print the enlarged page.", was="D101")
DRW_102 = Code(
    "DRW-102", Severity.WARNING, "A label hides a lead that is not its own",
    advice="Move the part or give the lead another way, so that the label has free floor.", was="D102")
DRW_103 = Code(
    "DRW-103", Severity.ERROR, "A lead is drawn over a lug that is not its own, or over the joint where a foreign lug "
    "is bent over to its case",
    text="It would read as soldered there. Measured at the broadest that any sheet draws lead, lug and joint. Lugs "
         "that lie in front of or behind the lead's own are left out: the plan shows a double ring there, the detail "
         "beside it each lug.",
    advice="Give the lead another way, or turn the part so that the lug is out of it.", was="D103")
DRW_104 = Code(
    "DRW-104", Severity.WARNING, "A lead does not end on its lug",
    advice="Do not use this sheet: the drawing contradicts the file; report it with the file.", was="D104")
DRW_105 = Code(
    "DRW-105", Severity.WARNING, "A lead leaves its cavity other than through a channel",
    advice="Give the lead a channel, or move its part away from the wall.", was="D105")
DRW_106 = Code(
    "DRW-106", Severity.WARNING, "A lead has no tag at one of its ends, or a short lead has none",
    advice="Write tag and colour by hand at that end before you solder.", was="D106")
DRW_107 = Code(
    "DRW-107", Severity.WARNING, "A label is lettered below 1.8 mm",
    advice="Print the enlarged page.", was="D107")
DRW_108 = Code(
    "DRW-108", Severity.WARNING, "A label stands outside the frame of the drawing",
    advice="Print on larger paper, or move the part inward.", was="D108")
DRW_109 = Code(
    "DRW-109", Severity.WARNING, "Two leads lie on each other for longer than a crossing takes, away from lugs they "
    "share",
    advice="Give one of the two another way; until then follow them by the tags at their ends, not by eye.", was="D109")
DRW_110 = Code(
    "DRW-110", Severity.WARNING, "A label hides a lug that it does not name",
    advice="Move the part or the lead named, so that its label has free floor; read the lug off the real part.",
    was="D110")
DRW_111 = Code(
    "DRW-111", Severity.WARNING, "Words stand less than 4.5 to 1 against what lies behind them (WCAG 2.2 SC 1.4.3)",
    advice="Read those words on the screen or in the lists, not on this sheet; report it with the file.", was="D111")
DRW_112 = Code(
    "DRW-112", Severity.WARNING, "The edge of a lead stands less than 3 to 1 against what lies beside it (WCAG 2.2 SC "
    "1.4.11)",
    advice="Follow that lead by its tags and the lead list, not by eye; report it with the file.", was="D112")
DRW_113 = Code(
    "DRW-113", Severity.ERROR, "The end of a lead's braid is drawn over a lug that it is not soldered to",
    advice="Solder the braid to a lug nearer to where it is bared, or turn the part so that the lug is out of it.",
    was="D113")
