"""Problem codes of the folder of jobs."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

SHOP = Range("J7", "the folder of jobs", 180)

J701 = Code(
    "J701", Severity.ERROR, "Two jobs of a folder bear one number",
    text="Give one of them another, or each a `revision` of its own if they are one job. A build that another one "
         "names under `as found` or `changes to`, with the same number or none, is its state as found and no job of "
         "its own.")
J702 = Code("J702", Severity.NOTE, "(note) A build in a folder of jobs has no job number")
J703 = Code(
    "J703", Severity.WARNING, "(warning) Builds name one another in a ring under `as found` or `changes to`, so which "
    "was first is not known: each is taken for a job, where a state as found would be none",
    advice="Take the key out of the build of the instrument as it was found.")
J704 = Code(
    "J704", Severity.ERROR, "A job's sheets were not finished in the time one job may take (`shop --limit`, in "
    "minutes)",
    text="It has no sheets, those of an earlier run are taken away, and the other jobs are made.",
    advice="Print it by itself with only the sheets you need, or give it more time.")
J705 = Code(
    "J705", Severity.ERROR, "A job's sheets are not written, because a file of one of their names lies there that is "
    "yours, or that was changed since it was written, or that the job is made from",
    text="Nothing in its folder is touched, and the other jobs are made.",
    advice="Move the file away, or say `--replace`; a file that the job is made from is never replaced.")
J706 = Code(
    "J706", Severity.ERROR, "The process that made a job's sheets was ended from outside, most often because the "
    "memory was full",
    text="It has no sheets, and the other jobs are made.",
    advice="Run it again: with `--workers 1` it needs least.")
