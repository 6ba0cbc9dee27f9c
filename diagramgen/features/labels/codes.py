"""Problem codes of labels."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

LABELS = Range("J4", "labels", 150)

J401 = Code(
    "J401", Severity.ERROR, "Tags of leads to be labelled do not stand in the file",
    text="An automatic tag follows the order of the lines: put a line in, and labels printed before name other leads.",
    advice="Write the tags in with `labels BUILD --pin`; with `--automatic-tags` labels are printed all the same "
           "(warning).",
    also=((Severity.WARNING, "with `--automatic-tags`"),))
J403 = Code(
    "J403", Severity.ERROR, "The labels of a label sheet overlap, leave the paper, have impossible corners or are too "
    "small to be read",
    text="The place is the key that makes them so.")
J404 = Code(
    "J404", Severity.ERROR, "The words of a label hold characters that the shipped letters do not have, or that run "
    "from right to left",
    text="The characters are named; no letter is left out of a label unsaid.",
    advice="The shipped letters run from left to right and cover Latin, Greek and Cyrillic: give the part a name in "
           "these with 'says'.")
J405 = Code(
    "J405", Severity.ERROR, "Not even the tag or name fits a label in letters of 1.8 mm",
    advice="Take larger labels, or longer tape.")
J406 = Code(
    "J406", Severity.WARNING, "A label says only tag and colour: where the lead goes does not fit, not even in the "
    "trade's short words",
    advice="Take larger labels, or shorter names with 'says'.")
J407 = Code(
    "J407", Severity.NOTE, "A label is made otherwise than asked for",
    text="A lead is too thin for words wrapped round it, a wrapped label is too low to say its words three times "
         "round, no marker sleeve fits the lead, or its thickness is not known and was assumed.")
J408 = Code(
    "J408", Severity.WARNING, "A QR code does not fit its label with its quiet zone; the label is printed without it")
