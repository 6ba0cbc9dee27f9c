"""Problem codes of files that are named: size, place, whether they can be read."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Severity

INP_001 = Code(
    "INP-001", Severity.ERROR, "The file is larger than 1 MB",
    text="What is written by hand is a page or two; most likely another file was named.",
    advice="Is this the right file?", was="R001")
INP_020 = Code(
    "INP-020", Severity.ERROR, "The file named is not there or cannot be read, or a build that came from no file "
    "names another one", was="R020")
INP_021 = Code(
    "INP-021", Severity.ERROR, "A folder, or a file outside the folder of the build, is named",
    text="Outside is whatever is named by an absolute path, by `..` or through a link that leads out. A build must be "
         "complete in its folder.",
    advice="Copy the file beside the build and give its name alone.", was="R021")
INP_022 = Code(
    "INP-022", Severity.ERROR, "A named file is not there",
    advice="Check its name, and that it lies beside the build.", was="R022")
INP_023 = Code(
    "INP-023", Severity.ERROR, "A named file is a folder, or cannot be read",
    advice="Check that it is a file and that you may read it.", was="R023")
INP_024 = Code(
    "INP-024", Severity.ERROR, "A named file is too large: more than 2 MB, for a photograph more than 25 MB",
    was="R024")
