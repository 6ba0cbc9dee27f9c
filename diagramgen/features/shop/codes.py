"""Problem codes of the folder of jobs."""

from __future__ import annotations

from diagramgen.kernel.codes import Code, Range, Severity

SHOP = Range("SHP-7", "the folder of jobs", 180, was="J7")

SHP_701 = Code(
    "SHP-701", Severity.ERROR, "Two jobs of a folder bear one number",
    text="Two states of one job bear a `revision` each. A build that another one names under `as found` or `changes "
         "to`, with the same number or none, is its state as found and no job of its own.",
    advice="Give one of them another number; a state as found is named under 'as found' and is no job of its own.",
    was="J701")
SHP_702 = Code(
    "SHP-702", Severity.NOTE, "A build in a folder of jobs has no job number",
    advice="Write 'job: ...' so that its papers can be told apart.", was="J702")
SHP_703 = Code(
    "SHP-703", Severity.WARNING, "Builds name one another in a ring under `as found` or `changes to`",
    text="Which was first is not known: each is taken for a job, where a state as found would be none.",
    advice="Take the key out of the build of the instrument as it was found.", was="J703")
SHP_704 = Code(
    "SHP-704", Severity.ERROR, "A job's sheets were not finished in the time one job may take (`shop --limit`, in "
    "minutes)",
    text="It has no sheets, those of an earlier run are taken away, and the other jobs are made.",
    advice="Print it by itself, only the sheets you need (print --sheet), or give it more time: --limit.", was="J704")
SHP_705 = Code(
    "SHP-705", Severity.ERROR, "A job's sheets are not written, because a file of one of their names lies there",
    text="The file is yours, or was changed since it was written, or the job is made from it. Nothing in its folder "
         "is touched, and the other jobs are made.",
    advice="Move the file away, or say `--replace`; a file that the job is made from is never replaced.", was="J705")
SHP_706 = Code(
    "SHP-706", Severity.ERROR, "The process that made a job's sheets was ended from outside, most often because the "
    "memory was full",
    text="It has no sheets, and the other jobs are made.",
    advice="Run it again: with --workers 1 it needs least.", was="J706")
