"""Problem codes of lengths, joints, comparisons and readings."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

LENGTHS = Range("W3", "lengths and joints", 90)
CHANGES = Range("J3", "as found and as left", 140)
RECORD = Range("J5", "readings, record", 160)

W301 = Code(
    "W301", Severity.ERROR, "A length given in the file is shorter than route, rise and joints need",
    advice="Check the figure and its unit, and the places of its two ends.")
W302 = Code(
    "W302", Severity.WARNING, "A part's own cable (`cable length`) does not reach the lug it goes to",
    text="The millimetres said are what a splice must add at least; service slack comes on top.",
    advice="Splice it under a sleeve and carry the braid across, or place the part nearer.")
W303 = Code(
    "W303", Severity.NOTE, "Leads have no cut length, because a channel they pass has no `length`",
    advice="Push a wire through, mark it at both mouths, and write its length at the channel.")
W304 = Code(
    "W304", Severity.WARNING, "More meets at a lug than it takes, or more on a pot's case than can be worked on one "
    "spot",
    text="Each joint added later heats those before it. Wires, legs, braids and a lug bent onto its case count one "
         "each, solder bridges none, one bus wire passing through one. The lead list and the bench page count the "
         "same. A case of 24 mm takes 7 by the symbols, one whose switch leaves only a rim 6 (common practice, no "
         "source; `takes` in a symbol of your own).")
J301 = Code(
    "J301", Severity.ERROR, "Two builds that are compared are not of one instrument: its name, hand or cavities differ",
    advice="Compare the build with the record of the same instrument, or correct the record.")
J506 = Code(
    "J506", Severity.ERROR, "The results file is of another job than the build",
    advice="Name the results file of this job.")
J507 = Code(
    "J507", Severity.ERROR, "A reading names no position of the controls, or more than one that read differently",
    advice="Say where each control stood.")
J508 = Code(
    "J508", Severity.WARNING, "A reading lies outside its band",
    advice="Meter again with the knobs at 10 and the plug in, then look at the joints of that position.")
J509 = Code(
    "J509", Severity.NOTE, "An ohm figure was entered where none means anything",
    text="An active stage, a battery or a crystal lies between.",
    advice="Leave it empty and write what is heard.")
J510 = Code(
    "J510", Severity.WARNING, "A reading is about 1000 times off, or a thousandth",
    text="The letter behind the number is wrong.",
    advice="Write the reading with its letter: 7.81k.")
J511 = Code(
    "J511", Severity.WARNING, "A reading has nothing to be held against",
    text="The build says nothing of strings, or has no battery that a plug switches on.")
