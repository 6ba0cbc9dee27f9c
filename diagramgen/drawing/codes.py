"""Problem codes of what a drawing itself shows."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

DRAWING = Range(
    "D1", "what the drawing itself shows", 130,
    intro="Said by `check`, measured on the full-size drawing: the sheet is true, but harder to read. D103 and D113 "
          "are errors: there the drawing itself says something false, so they are said as soon as the leads are laid, "
          "and no sheet is written without `--anyway`.")

D101 = Code(
    "D101", Severity.WARNING, "Two labels lie on one another",
    advice="Move one of the parts named so that their names have room, or print the enlarged page.")
D102 = Code(
    "D102", Severity.WARNING, "A label hides a lead that is not its own",
    advice="Move the part or give the lead another way, so that the label has free floor.")
D103 = Code(
    "D103", Severity.ERROR, "A lead is drawn over a lug that is not its own, or over the joint where a foreign lug is "
    "bent over to its case",
    text="It would read as soldered there. Measured at the broadest that any sheet draws lead, lug and joint. Lugs "
         "that lie in front of or behind the lead's own are left out: the plan shows a double ring there, the detail "
         "beside it each lug.",
    advice="Give the lead another way, or turn the part so that the lug is out of it.")
D104 = Code(
    "D104", Severity.WARNING, "A lead does not end on its lug",
    advice="Do not use this sheet: the drawing contradicts the file; report it with the file.")
D105 = Code(
    "D105", Severity.WARNING, "A lead leaves its cavity other than through a channel",
    advice="Give the lead a channel, or move its part away from the wall.")
D106 = Code(
    "D106", Severity.WARNING, "A lead has no tag at one of its ends, or a short lead has none",
    advice="Write tag and colour by hand at that end before you solder.")
D107 = Code(
    "D107", Severity.WARNING, "A label is lettered below 1.8 mm",
    advice="Print the enlarged page.")
D108 = Code(
    "D108", Severity.WARNING, "A label stands outside the frame of the drawing",
    advice="Print on larger paper, or move the part inward.")
D109 = Code(
    "D109", Severity.WARNING, "Two leads lie on each other for longer than a crossing takes, away from lugs they share",
    advice="Give one of the two another way; until then follow them by the tags at their ends, not by eye.")
D110 = Code(
    "D110", Severity.WARNING, "A label hides a lug that it does not name",
    advice="Move the part or the lead named, so that its label has free floor; read the lug off the real part.")
D111 = Code(
    "D111", Severity.WARNING, "Words stand less than 4.5 to 1 against what lies behind them (WCAG 2.2 SC 1.4.3)",
    advice="Read those words on the screen or in the lists, not on this sheet; report it with the file.")
D112 = Code(
    "D112", Severity.WARNING, "The edge of a lead stands less than 3 to 1 against what lies beside it (WCAG 2.2 SC "
    "1.4.11)",
    advice="Follow that lead by its tags and the lead list, not by eye; report it with the file.")
D113 = Code(
    "D113", Severity.ERROR, "The end of a lead's braid is drawn over a lug that it is not soldered to",
    advice="Solder the braid to a lug nearer to where it is bared, or turn the part so that the lug is out of it.")
