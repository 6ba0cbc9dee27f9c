"""Problem codes of lengths, joints, comparisons and readings."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

LENGTHS = Range("LEN-3", "lengths and joints", 90, was="W3")
CHANGES = Range("CHG-3", "as found and as left", 140, was="J3")
RECORD = Range("REC-5", "readings, record", 160, was="J5")

LEN_301 = Code(
    "LEN-301", Severity.ERROR, "A length given in the file is shorter than route, rise and joints need",
    advice="Check the figure and its unit, and the places of its two ends.", was="W301")
LEN_302 = Code(
    "LEN-302", Severity.WARNING, "A part's own cable (`cable length`) does not reach the lug it goes to",
    text="The millimetres said are what a splice must add at least; service slack comes on top.",
    advice="Splice it under a sleeve and carry the braid across, or place the part nearer.", was="W302")
LEN_303 = Code(
    "LEN-303", Severity.NOTE, "Leads have no cut length, because a channel they pass has no `length`",
    advice="Push a wire through, mark it at both mouths, and write its length at the channel.", was="W303")
LEN_304 = Code(
    "LEN-304", Severity.WARNING, "More meets at a lug than it takes, or more on a pot's case than can be worked on "
    "one spot",
    text="Each joint added later heats those before it. Wires, legs, braids and a lug bent onto its case count one "
         "each, solder bridges none, one bus wire passing through one. The lead list and the bench page count the "
         "same. A case of 24 mm takes 7 by the symbols, one whose switch leaves only a rim 6 (common practice, no "
         "source; `takes` in a symbol of your own).", was="W304")
CHG_301 = Code(
    "CHG-301", Severity.ERROR, "Two builds that are compared are not of one instrument: its name, hand or cavities "
    "differ",
    advice="Compare the build with the record of the same instrument, or correct the record.", was="J301")
REC_506 = Code(
    "REC-506", Severity.ERROR, "The results file is of another job than the build",
    advice="Name the results file of this job.", was="J506")
REC_507 = Code(
    "REC-507", Severity.ERROR, "A reading names no position of the controls, or more than one that read differently",
    advice="Say where each control stood.", was="J507")
REC_508 = Code(
    "REC-508", Severity.WARNING, "A reading lies outside its band",
    advice="Meter again with the knobs at 10 and the plug in, then look at the joints of that position.", was="J508")
REC_509 = Code(
    "REC-509", Severity.NOTE, "An ohm figure was entered where none means anything",
    text="An active stage, a battery or a crystal lies between.",
    advice="Leave it empty and write what is heard.", was="J509")
REC_510 = Code(
    "REC-510", Severity.WARNING, "A reading is about 1000 times off, or a thousandth",
    text="The letter behind the number is wrong.",
    advice="Write the reading with its letter: 7.81k.", was="J510")
REC_511 = Code(
    "REC-511", Severity.WARNING, "A reading has nothing to be held against",
    text="The build says nothing of strings, or has no battery that a plug switches on.", was="J511")
