"""Problem codes of the file itself, and of what stands where something else is expected."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

FILE = Range("R0", "the file itself", 10)
KEYS = Range("R1", "keys and values", 20)

R002 = Code(
    "R002", Severity.ERROR, "The file is binary (a photograph, a PDF), not text",
    advice="Give the build file itself, saved as UTF-8.")
R003 = Code(
    "R003", Severity.ERROR, "A character is not UTF-8",
    text="Most editors offer the encoding when a file is saved.",
    advice="Save the file with the encoding UTF-8.")
R004 = Code(
    "R004", Severity.ERROR, "A control character stands in the text, often from a copy out of another program",
    advice="Delete it.")
R005 = Code(
    "R005", Severity.ERROR, "The punctuation of the file cannot be read",
    text="A bracket or quote is not closed (the place is where it was opened), a tab stands at the start of a line, a "
         "line does not line up, there is a second colon, or a value starts with a character that means something "
         "else. The entry is put aside with what is set in under it, and the rest is read, so that other faults are "
         "named in the same run; what may come of the entry itself is not said. Nothing is drawn from such a file.")
R006 = Code(
    "R006", Severity.ERROR, "A second document starts in the file (a line of three hyphens)",
    advice="Keep one build a file; delete the line '---'.")
R007 = Code(
    "R007", Severity.ERROR, "The file is nested more deeply, or holds more entries, than any build needs",
    advice="A build needs neither; is this the right file?")
R008 = Code(
    "R008", Severity.ERROR, "Curly quotation marks stand around a value",
    text="They would become part of the text.",
    advice="Use straight quotes (\" or '), or none.")
R009 = Code(
    "R009", Severity.ERROR, "A key is a list or a group instead of a word",
    advice="Write 'key: value'.")
R010 = Code(
    "R010", Severity.ERROR, "An anchor, alias, tag or merge key is used",
    text="A build file takes the plain part of YAML only.",
    advice="Write the value out; a text that starts with such a sign goes in quotes.")
R011 = Code(
    "R011", Severity.ERROR, "A key is given twice in the same group",
    text="The place of the first one is said.",
    advice="Keep one of the two.")
R012 = Code("R012", Severity.ERROR, "The file is empty, or holds comments only")
R013 = Code(
    "R013", Severity.ERROR, "The file holds a list or a text where its keys are expected",
    text="A build begins with keys such as `title`, `parts`, `leads`.")
R101 = Code(
    "R101", Severity.ERROR, "Something of another kind stands here: a list for a word, a word for a group of keys, "
    "nothing at all")
R102 = Code("R102", Severity.ERROR, "A text is too long, or holds a line break where none may be")
R103 = Code("R103", Severity.ERROR, "A word is not one of those that may stand here; they are named")
R104 = Code(
    "R104", Severity.ERROR, "A name is not made as names are: letters, digits and hyphens, starting with a letter")
R105 = Code(
    "R105", Severity.ERROR, "A value cannot be read, lacks its unit, is zero or negative, or is absurd for what it is",
    text="Decimal commas are refused, since in a list they part two numbers.",
    advice="Write the value with its unit, and a point for the decimals.")
R106 = Code("R106", Severity.ERROR, "A number is outside its limits, or not whole where it must be")
R107 = Code(
    "R107", Severity.ERROR, "Two numbers `[x, y]` are expected",
    text="Three of them most often mean a decimal comma.")
R108 = Code("R108", Severity.ERROR, "A list has fewer entries than needed")
R109 = Code(
    "R109", Severity.ERROR, "A key is not known here",
    text="The nearest one is offered. No key is passed over.")
R110 = Code("R110", Severity.ERROR, "A key that is needed is missing")
