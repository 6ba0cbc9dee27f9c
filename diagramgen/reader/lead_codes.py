"""Problem codes of lead lines, ends and colours."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

LEADS = Range("INP-2", "lead lines, ends, colours", 30, was="R2")

INP_201 = Code("INP-201", Severity.ERROR, "An end is not `part.lug`", was="R201")
INP_202 = Code("INP-202", Severity.ERROR, "A colour is not known", was="R202")
INP_203 = Code(
    "INP-203", Severity.ERROR, "A tag is not a letter and up to five letters or digits",
    advice="A tag is a letter and up to five letters or digits: W07.", was="R203")
INP_204 = Code(
    "INP-204", Severity.ERROR, "A wire gauge is not a whole number from 10 to 44 AWG",
    advice="Write it like 22 AWG.", was="R204")
INP_205 = Code(
    "INP-205", Severity.ERROR, "Two commas stand with nothing between them",
    advice="Delete one of them.", was="R205")
INP_206 = Code("INP-206", Severity.ERROR, "The same thing is said twice on one line", was="R206")
INP_207 = Code(
    "INP-207", Severity.ERROR, "A remark lacks what must follow it, or has something behind it that does not belong "
    "there", was="R207")
INP_208 = Code(
    "INP-208", Severity.ERROR, "A lead is given both as a bus and by its two ends",
    advice="'bus' lists all the lugs one bare wire passes.", was="R208")
INP_209 = Code(
    "INP-209", Severity.ERROR, "A list stands where a lead is expected",
    advice="Write each lead on a line of its own: - part.lug -> part.lug, red.", was="R209")
INP_210 = Code(
    "INP-210", Severity.ERROR, "A colon or question mark has turned a lead line into a key",
    advice="Use neither; an end that is not traced is `unknown`.", was="R210")
INP_211 = Code(
    "INP-211", Severity.ERROR, "A lead line has no arrow",
    text="Inside `[ ]` a comma ends a lead, so remarks become lines of their own.", was="R211")
INP_212 = Code(
    "INP-212", Severity.ERROR, "Another arrow than `->` is used",
    advice="Write ->, a hyphen and a 'greater than'.", was="R212")
INP_213 = Code(
    "INP-213", Severity.ERROR, "A lead line does not begin with its two ends",
    advice="Write 'part.lug -> part.lug' first, then the remarks.", was="R213")
INP_214 = Code(
    "INP-214", Severity.ERROR, "A lead has nothing on one side of its arrow",
    advice="Write the lug on both sides of the arrow; the word unknown where it is not traced yet.", was="R214")
INP_215 = Code(
    "INP-215", Severity.ERROR, "A lead line has two arrows: two lines ran into one, by a missing `- ` or by deeper "
    "indentation",
    advice="Two lines have run into one: start each with '- ' in the same column, a blank after the hyphen.",
    was="R215")
INP_216 = Code(
    "INP-216", Severity.ERROR, "A colon or hash stands in a lead line",
    advice="Neither may: they mean something else to the file. Use other words.", was="R216")
INP_217 = Code(
    "INP-217", Severity.ERROR, "A bare number stands in a lead line",
    text="It might be a gauge, a length or a diameter, and is not guessed.",
    advice="Say which: gauge 22 AWG, length 120, od 1.4.", was="R217")
INP_218 = Code("INP-218", Severity.ERROR, "A remark is neither a colour nor one of the known remarks", was="R218")
INP_219 = Code(
    "INP-219", Severity.ERROR, "`between` does not name two lugs",
    advice="Write between: [volume.ten, volume.wiper].", was="R219")
INP_220 = Code(
    "INP-220", Severity.ERROR, "In a one-line placing of a group, a remark is not an end with its lug",
    advice="Write the end, then the lug: hot volume.ten.", was="R220")
INP_221 = Code(
    "INP-221", Severity.ERROR, "The leads are not a list: the hyphen, or the blank after it, is missing", was="R221")
INP_222 = Code("INP-222", Severity.ERROR, "An entry under `lugs` is not a lug with what is found on it", was="R222")
INP_223 = Code(
    "INP-223", Severity.ERROR, "A word found on a lug is no colour, no component and no `COLOUR to part.lug`",
    was="R223")
INP_224 = Code(
    "INP-224", Severity.ERROR, "The text of a wanted network cannot be read",
    text="`+` and `||` are never mixed without brackets.", was="R224")
INP_225 = Code(
    "INP-225", Severity.WARNING, "A hash after a blank cut off the rest of a lead line: it starts a comment",
    advice="For a remark write 'note ...'; for a comment put a blank after the hash.", was="R225")
