"""Problem codes of what a drawing itself shows."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

DRAWING = Range(
    "D1", "what the drawing itself shows", 130,
    intro="Said by `check`, measured on the full-size drawing: the sheet is true, but harder to read. D103 and D113 "
          "are errors: there the drawing itself says something false, so they are said as soon as the leads are laid, "
          "and nothing is printed unasked.")

D101 = Code("D101", Severity.WARNING, "Two labels lie on one another")
D102 = Code("D102", Severity.WARNING, "A label hides a lead that is not its own")
D103 = Code(
    "D103", Severity.ERROR, "(error) A lead is drawn over a lug that is not its own, or over the joint where a "
    "foreign lug is bent over to its case: it would read as soldered there",
    text="Measured at the broadest that any sheet draws lead, lug and joint. Lugs that lie in front of or behind the "
         "lead's own are left out: the plan shows a double ring there, the detail beside it each lug.")
D104 = Code("D104", Severity.WARNING, "A lead does not end on its lug")
D105 = Code("D105", Severity.WARNING, "A lead leaves its cavity other than through a channel")
D106 = Code("D106", Severity.WARNING, "A lead has no tag at one of its ends, or a short lead has none")
D107 = Code("D107", Severity.WARNING, "A label is lettered below 1.8 mm")
D108 = Code("D108", Severity.WARNING, "A label stands outside the frame of the drawing")
D109 = Code(
    "D109", Severity.WARNING, "Two leads lie on each other for longer than a crossing takes, away from lugs they share")
D110 = Code("D110", Severity.WARNING, "A label hides a lug that it does not name")
D111 = Code(
    "D111", Severity.WARNING, "Words stand less than 4.5 to 1 against what lies behind them (WCAG 2.2 SC 1.4.3)")
D112 = Code(
    "D112", Severity.WARNING, "The edge of a lead stands less than 3 to 1 against what lies beside it (WCAG 2.2 SC "
    "1.4.11)")
D113 = Code("D113", Severity.ERROR, "(error) The end of a lead's braid is drawn over a lug that it is not soldered to")
