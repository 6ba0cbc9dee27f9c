"""Problem codes of labels."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

LABELS = Range("LAB-4", "labels", 150, was="J4")

LAB_401 = Code(
    "LAB-401", Severity.ERROR, "Tags of leads to be labelled do not stand in the file",
    text="An automatic tag follows the order of the lines: put a line in, and labels printed before name other leads.",
    advice="Write the tags in with `labels BUILD --pin`; with `--automatic-tags` labels are printed all the same "
           "(warning).",
    also=((Severity.WARNING, "with `--automatic-tags`"),),
    was="J401")
LAB_403 = Code(
    "LAB-403", Severity.ERROR, "The labels of a label sheet overlap, leave the paper, have impossible corners or are "
    "too small to be read",
    text="The place is the key that makes them so.", was="J403")
LAB_404 = Code(
    "LAB-404", Severity.ERROR, "The words of a label hold characters that the shipped letters do not have, or that "
    "run from right to left",
    text="The characters are named; no letter is left out of a label unsaid.",
    advice="The shipped letters run from left to right and cover Latin, Greek and Cyrillic: give the part a name in "
           "these with 'says'.", was="J404")
LAB_405 = Code(
    "LAB-405", Severity.ERROR, "Not even the tag or name fits a label in letters of 1.8 mm",
    advice="Take larger labels, or longer tape.", was="J405")
LAB_406 = Code(
    "LAB-406", Severity.WARNING, "A label says only tag and colour: where the lead goes does not fit, not even in the "
    "trade's short words",
    advice="Take larger labels, or shorter names with 'says'.", was="J406")
LAB_407 = Code(
    "LAB-407", Severity.NOTE, "A label is made otherwise than asked for",
    text="A lead is too thin for words wrapped round it, a wrapped label is too low to say its words three times "
         "round, no marker sleeve fits the lead, or its thickness is not known and was assumed.", was="J407")
LAB_408 = Code(
    "LAB-408", Severity.WARNING, "A QR code does not fit its label with its quiet zone; the label is printed without "
    "it", was="J408")
