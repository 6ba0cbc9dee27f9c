"""Problem codes of lead lines, ends and colours."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

LEADS = Range("R2", "lead lines, ends, colours", 30)

R201 = Code("R201", Severity.ERROR, "An end is not `part.lug`")
R202 = Code("R202", Severity.ERROR, "A colour is not known")
R203 = Code(
    "R203", Severity.ERROR, "A tag is not a letter and up to five letters or digits",
    advice="A tag is a letter and up to five letters or digits: W07.")
R204 = Code(
    "R204", Severity.ERROR, "A wire gauge is not a whole number from 10 to 44 AWG",
    advice="Write it like 22 AWG.")
R205 = Code(
    "R205", Severity.ERROR, "Two commas stand with nothing between them",
    advice="Delete one of them.")
R206 = Code("R206", Severity.ERROR, "The same thing is said twice on one line")
R207 = Code(
    "R207", Severity.ERROR, "A remark lacks what must follow it, or has something behind it that does not belong there")
R208 = Code(
    "R208", Severity.ERROR, "A lead is given both as a bus and by its two ends",
    advice="'bus' lists all the lugs one bare wire passes.")
R209 = Code(
    "R209", Severity.ERROR, "A list stands where a lead is expected",
    advice="Write each lead on a line of its own: - part.lug -> part.lug, red.")
R210 = Code(
    "R210", Severity.ERROR, "A colon or question mark has turned a lead line into a key",
    advice="Use neither; an end that is not traced is `unknown`.")
R211 = Code(
    "R211", Severity.ERROR, "A lead line has no arrow",
    text="Inside `[ ]` a comma ends a lead, so remarks become lines of their own.")
R212 = Code(
    "R212", Severity.ERROR, "Another arrow than `->` is used",
    advice="Write ->, a hyphen and a 'greater than'.")
R213 = Code(
    "R213", Severity.ERROR, "A lead line does not begin with its two ends",
    advice="Write 'part.lug -> part.lug' first, then the remarks.")
R214 = Code(
    "R214", Severity.ERROR, "A lead has nothing on one side of its arrow",
    advice="Write the lug on both sides of the arrow; the word unknown where it is not traced yet.")
R215 = Code(
    "R215", Severity.ERROR, "A lead line has two arrows: two lines ran into one, by a missing `- ` or by deeper "
    "indentation",
    advice="Two lines have run into one: start each with '- ' in the same column, a blank after the hyphen.")
R216 = Code(
    "R216", Severity.ERROR, "A colon or hash stands in a lead line",
    advice="Neither may: they mean something else to the file. Use other words.")
R217 = Code(
    "R217", Severity.ERROR, "A bare number stands in a lead line",
    text="It might be a gauge, a length or a diameter, and is not guessed.",
    advice="Say which: gauge 22 AWG, length 120, od 1.4.")
R218 = Code("R218", Severity.ERROR, "A remark is neither a colour nor one of the known remarks")
R219 = Code(
    "R219", Severity.ERROR, "`between` does not name two lugs",
    advice="Write between: [volume.ten, volume.wiper].")
R220 = Code(
    "R220", Severity.ERROR, "In a one-line placing of a group, a remark is not an end with its lug",
    advice="Write the end, then the lug: hot volume.ten.")
R221 = Code("R221", Severity.ERROR, "The leads are not a list: the hyphen, or the blank after it, is missing")
R222 = Code("R222", Severity.ERROR, "An entry under `lugs` is not a lug with what is found on it")
R223 = Code("R223", Severity.ERROR, "A word found on a lug is no colour, no component and no `COLOUR to part.lug`")
R224 = Code(
    "R224", Severity.ERROR, "The text of a wanted network cannot be read",
    text="`+` and `||` are never mixed without brackets.")
R225 = Code(
    "R225", Severity.WARNING, "A hash after a blank cut off the rest of a lead line: it starts a comment",
    advice="For a remark write 'note ...'; for a comment put a blank after the hash.")
