"""``page``: where the file goes, what is refused, and that the page on it tells the truth."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
from running import ROOT, SAMPLES, quick, run


@pytest.fixture
def bench(tmp_path, monkeypatch):
    """A folder with the samples in it, where the work is done."""
    shutil.copytree(SAMPLES, tmp_path / "bench")
    monkeypatch.chdir(tmp_path / "bench")
    return tmp_path / "bench"


def test_the_page_goes_beside_the_build_or_where_it_is_sent(bench):
    result = quick("page", "one-volume.yaml")
    assert result.exit_code == 0, result.output
    assert result.stdout.splitlines()[0] == str(Path("one-volume/page.html"))
    assert result.stdout.splitlines()[1].startswith("1 file written; ")
    assert quick("page", "one-volume.yaml", "--out", "o", "-q").stdout == ""
    assert (bench / "o/page.html").read_bytes() == (bench / "one-volume/page.html").read_bytes()


def test_a_page_and_printed_sheets_share_a_folder(bench):
    assert quick("page", "one-volume.yaml", "--out", "o").exit_code == 0
    assert quick("print", "one-volume.yaml", "--out", "o", "--sheet", "leads").exit_code == 0
    assert {"page.html", "leads.pdf"} <= {p.name for p in (bench / "o").iterdir()}


def test_a_build_with_errors_gives_no_page(bench):
    result = quick("page", "wrong-on-purpose.yaml", "--out", "o")
    assert result.exit_code == 1
    assert "nothing written" in result.stdout
    assert "--anyway" in result.stderr
    assert not (bench / "o").exists()
    result = quick("page", "wrong-on-purpose.yaml", "--out", "o", "--anyway")
    assert result.exit_code == 1
    assert "cannot be played" in result.stderr
    assert not (bench / "o").exists()


def test_a_promise_that_is_not_kept_is_stamped_where_the_page_is_wanted_anyway(bench):
    text = Path("one-volume.yaml").read_text(encoding="utf-8")
    changed = re.sub(r"(?ms)^wanted:.*", "", text) + "\nwanted:\n  - {when: {output: mono}, sounds: silent}\n"
    Path("my.yaml").write_text(changed, encoding="utf-8")
    assert quick("page", "my.yaml").exit_code == 1
    assert not Path("my/page.html").exists()
    result = quick("page", "my.yaml", "--anyway")
    assert result.exit_code == 1
    assert "NOT PROVED" in Path("my/page.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(("arguments", "words"), [
    (["baritone.yaml", "--state", "selektor=up"], "there is no switching control 'selektor'. Did you mean 'selector'?"),
    (["baritone.yaml", "--state", "selector=upp"], "'selector' has no position 'upp'"),
    (["baritone.yaml", "--state", "selector"], "Write it like selector=up."),
])  # fmt: skip
def test_wrong_usage_ends_with_2_and_says_what_is_right(bench, arguments, words):
    result = quick("page", *arguments)
    assert result.exit_code == 2, result.output
    assert words in " ".join(result.stderr.split())


def test_json_names_the_file_and_the_check(bench):
    found = json.loads(quick("page", "one-volume.yaml", "--json").stdout)
    assert found["files"] == [str(Path("one-volume/page.html"))]
    assert f"File check {found['checksum']}." in Path("one-volume/page.html").read_text(encoding="utf-8")


def test_a_folder_that_cannot_be_is_said(bench):
    Path("o").write_text("a file", encoding="utf-8")
    result = quick("page", "one-volume.yaml", "--out", "o")
    assert result.exit_code == 3
    assert "cannot write" in result.stderr


def test_the_commands_of_the_page_on_it_and_of_the_help_run_in_order(bench):
    page = (ROOT / "docs" / "page.md").read_text(encoding="utf-8")
    commands = re.findall(r"(?m)^    diagramgen (page .*)$", page)
    helped = re.findall(r"(?m)^ +diagramgen (page .*)$", quick("page", "--help").output)
    assert (len(commands), len(helped)) == (5, 3)
    for command in dict.fromkeys([*commands, *helped]):
        result = quick(*command.split())
        assert result.exit_code == 0, (command, result.output)


def test_the_figures_of_the_page_on_it_are_the_programs():
    from diagramgen.features.playerpage.compute import CENTRED, MOST_NETWORKS, MOST_SOLVED, MOST_STATES, TURNS

    page = " ".join((ROOT / "docs" / "page.md").read_text(encoding="utf-8").split())
    told = [", ".join(f"{t:g}" for t in turns[:-1]) + f" and {turns[-1]:g}" for turns in (TURNS, CENTRED)]
    assert f"Knobs stand at {told[0]} (those with a detent in the middle at {told[1]})" in page
    assert f"Up to {MOST_SOLVED} positions times settings" in page
    assert f"more than {MOST_NETWORKS} different networks or {MOST_STATES} positions" in page


def test_the_real_command_writes_a_page(bench):
    done = run("page", "no-cavity.yaml", "-q", "--out", "o", cwd=bench)
    assert (done.returncode, done.stdout) == (0, "")
    assert "Traceback" not in done.stderr
    assert (bench / "o/page.html").read_bytes().startswith(b"<!DOCTYPE html>")
