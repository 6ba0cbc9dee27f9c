"""Problem codes of changes that the program makes in a file."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Severity

LAB_402 = Code(
    "LAB-402", Severity.NOTE, "A tag cannot be written into the file",
    text="The lead comes out of a group, is entered lug by lug, is a stretch of a bus, or stands in the file this one "
         "changes.",
    advice="Write this lead as a line of its own under 'leads', with a tag.", was="J402")
