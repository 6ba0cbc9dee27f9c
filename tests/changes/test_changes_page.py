"""docs/changes.md: its commands run as they stand, and it names every column and key of the files."""

from __future__ import annotations

import json
import re
import shutil

import pytest
from running import ROOT, SAMPLES, quick

PAGE = (ROOT / "docs" / "changes.md").read_text(encoding="utf-8")
LINES = re.findall(r"(?m)^    diagramgen (.+)$", PAGE)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The samples of the page in a folder of their own, with all its commands run there, in order."""
    made = tmp_path_factory.mktemp("page")
    for path in SAMPLES.glob("two-pickups-toggle*.yaml"):
        shutil.copy(path, made)
    with pytest.MonkeyPatch.context() as here:
        here.chdir(made)
        ended = {line: quick(*line.split()).exit_code for line in LINES}
    return made, ended


def test_the_commands_of_the_page_run(folder):
    made, ended = folder
    assert len(ended) == len(LINES) >= 4
    assert set(ended.values()) == {0}
    assert (made / "changes" / "changes.pdf").is_file()
    assert (made / "sheets" / "changes.svg").is_file()
    assert (made / "sheets" / "undo.svg").is_file()


def test_the_page_names_every_key(folder):
    said = json.loads((folder[0] / "changes" / "changes.json").read_text(encoding="utf-8"))
    for key in (*said, *said["steps"][0]):
        assert f"`{key}`" in PAGE, key
