"""Problem codes of the file itself, and of what stands where something else is expected."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

FILE = Range("INP-0", "the file itself", 10, was="R0")
KEYS = Range("INP-1", "keys and values", 20, was="R1")

INP_002 = Code(
    "INP-002", Severity.ERROR, "The file is binary (a photograph, a PDF), not text",
    advice="Give the build file itself, saved as UTF-8.", was="R002")
INP_003 = Code(
    "INP-003", Severity.ERROR, "A character is not UTF-8",
    text="Most editors offer the encoding when a file is saved.",
    advice="Save the file with the encoding UTF-8.", was="R003")
INP_004 = Code(
    "INP-004", Severity.ERROR, "A control character stands in the text, often from a copy out of another program",
    advice="Delete it.", was="R004")
INP_005 = Code(
    "INP-005", Severity.ERROR, "The punctuation of the file cannot be read",
    text="A bracket or quote is not closed (the place is where it was opened), a tab stands at the start of a line, a "
         "line does not line up, there is a second colon, or a value starts with a character that means something "
         "else. The entry is put aside with what is set in under it, and the rest is read, so that other faults are "
         "named in the same run; what may come of the entry itself is not said. Nothing is drawn from such a file.",
    was="R005")
INP_006 = Code(
    "INP-006", Severity.ERROR, "A second document starts in the file (a line of three hyphens)",
    advice="Keep one build a file; delete the line '---'.", was="R006")
INP_007 = Code(
    "INP-007", Severity.ERROR, "The file is nested more deeply, or holds more entries, than any build needs",
    advice="A build needs neither; is this the right file?", was="R007")
INP_008 = Code(
    "INP-008", Severity.ERROR, "Curly quotation marks stand around a value",
    text="They would become part of the text.",
    advice="Use straight quotes (\" or '), or none.", was="R008")
INP_009 = Code(
    "INP-009", Severity.ERROR, "A key is a list or a group instead of a word",
    advice="Write 'key: value'.", was="R009")
INP_010 = Code(
    "INP-010", Severity.ERROR, "An anchor, alias, tag or merge key is used",
    text="A build file takes the plain part of YAML only.",
    advice="Write the value out; a text that starts with such a sign goes in quotes.", was="R010")
INP_011 = Code(
    "INP-011", Severity.ERROR, "A key is given twice in the same group",
    text="The place of the first one is said.",
    advice="Keep one of the two.", was="R011")
INP_012 = Code("INP-012", Severity.ERROR, "The file is empty, or holds comments only", was="R012")
INP_013 = Code(
    "INP-013", Severity.ERROR, "The file holds a list or a text where its keys are expected",
    text="A build begins with keys such as `title`, `parts`, `leads`.", was="R013")
INP_101 = Code(
    "INP-101", Severity.ERROR, "Something of another kind stands here: a list for a word, a word for a group of keys, "
    "nothing at all", was="R101")
INP_102 = Code("INP-102", Severity.ERROR, "A text is too long, or holds a line break where none may be", was="R102")
INP_103 = Code("INP-103", Severity.ERROR, "A word is not one of those that may stand here; they are named", was="R103")
INP_104 = Code(
    "INP-104", Severity.ERROR, "A name is not made as names are: letters, digits and hyphens, starting with a letter",
    was="R104")
INP_105 = Code(
    "INP-105", Severity.ERROR, "A value cannot be read, lacks its unit, is zero or negative, or is absurd for what it "
    "is",
    text="Decimal commas are refused, since in a list they part two numbers.",
    advice="Write the value with its unit, and a point for the decimals.", was="R105")
INP_106 = Code("INP-106", Severity.ERROR, "A number is outside its limits, or not whole where it must be", was="R106")
INP_107 = Code(
    "INP-107", Severity.ERROR, "Two numbers `[x, y]` are expected",
    text="Three of them most often mean a decimal comma.", was="R107")
INP_108 = Code("INP-108", Severity.ERROR, "A list has fewer entries than needed", was="R108")
INP_109 = Code(
    "INP-109", Severity.ERROR, "A key is not known here",
    text="The nearest one is offered. No key is passed over.", was="R109")
INP_110 = Code("INP-110", Severity.ERROR, "A key that is needed is missing", was="R110")
