"""Problem codes of files that are named: size, place, whether they can be read."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Severity

R001 = Code(
    "R001", Severity.ERROR, "The file is larger than 1 MB",
    text="A build file is a page or two; most likely another file was named.")
R020 = Code(
    "R020", Severity.ERROR, "A file is named, but the build did not come from a file itself, so there is no folder to "
    "look in")
R021 = Code(
    "R021", Severity.ERROR, "A file outside the folder of the build is named, by an absolute path, by `..` or by a "
    "link",
    advice="Copy it beside the build: a build must be complete in its folder.")
R022 = Code("R022", Severity.ERROR, "A named file is not there")
R023 = Code("R023", Severity.ERROR, "A named file cannot be read: it is a folder, or reading is not permitted")
R024 = Code("R024", Severity.ERROR, "A named file is larger than 2 MB")
