"""Problem codes of the file itself, and of what stands where something else is expected."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

FILE = Range("R0", "the file itself", 10)
KEYS = Range("R1", "keys and values", 20)

R002 = Code("R002", Severity.ERROR, "The file is binary (a photograph, a PDF), not text")
R003 = Code(
    "R003", Severity.ERROR, "A character is not UTF-8",
    advice="Save the file with that encoding; most editors offer it when saving.")
R004 = Code(
    "R004", Severity.ERROR, "A control character stands in the text, often from a copy out of another program",
    advice="Delete it.")
R005 = Code(
    "R005", Severity.ERROR, "The punctuation of the file cannot be read: a bracket or quote that is not closed (the "
    "place is where it was opened), a tab at the start of a line, a line that does not line up, a second colon, a "
    "value that starts with a character that means something else",
    text="The entry is put aside with what is set in under it, and the rest is read, so that other faults are named "
         "in the same run; what may come of the entry itself is not said. Nothing is drawn from such a file.")
R006 = Code(
    "R006", Severity.ERROR, "A second document starts in the file (a line of three hyphens)",
    advice="Keep one build a file.")
R007 = Code("R007", Severity.ERROR, "The file is nested more deeply, or holds more entries, than any build needs")
R008 = Code(
    "R008", Severity.ERROR, "Curly quotation marks stand around a value",
    text="They would become part of the text; use straight ones or none.")
R009 = Code("R009", Severity.ERROR, "A key is a list or a group instead of a word")
R010 = Code(
    "R010", Severity.ERROR, "An anchor, alias, tag or merge key is used",
    text="A build file takes the plain part of YAML only.")
R011 = Code(
    "R011", Severity.ERROR, "A key is given twice in the same group",
    text="The first is named; keep one.")
R012 = Code("R012", Severity.ERROR, "The file is empty, or holds comments only")
R013 = Code("R013", Severity.ERROR, "The file holds a list or a text where its keys (title, parts, leads) are expected")
R101 = Code(
    "R101", Severity.ERROR, "Something of another kind stands here: a list for a word, a word for a group of keys, "
    "nothing at all")
R102 = Code("R102", Severity.ERROR, "A text is too long, or holds a line break where none may be")
R103 = Code("R103", Severity.ERROR, "A word is not one of those that may stand here; they are named")
R104 = Code(
    "R104", Severity.ERROR, "A name is not made as names are: letters, digits and hyphens, starting with a letter")
R105 = Code(
    "R105", Severity.ERROR, "A value cannot be read, lacks its unit, is zero or negative, or is absurd for what it is",
    text="Decimal commas are refused, since in a list they part two numbers.")
R106 = Code("R106", Severity.ERROR, "A number is outside its limits, or not whole where it must be")
R107 = Code(
    "R107", Severity.ERROR, "Two numbers `[x, y]` are expected",
    text="Three of them most often mean a decimal comma.")
R108 = Code("R108", Severity.ERROR, "A list has fewer entries than needed")
R109 = Code(
    "R109", Severity.ERROR, "A key is not known here",
    text="The nearest one is offered; nothing is ignored.")
R110 = Code("R110", Severity.ERROR, "A key that is needed is missing")
