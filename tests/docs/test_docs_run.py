"""The tutorial's commands run one after another as they stand, those of other pages each by itself; what the page on
measuring shows is read."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from diagramgen.app.main import group
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.library.catalogue import shipped
from diagramgen.reader.reader import read_build

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
OUTLINE = '<svg xmlns="http://www.w3.org/2000/svg"><rect width="100" height="80"/></svg>'


def commands(page: str) -> list[list[str]]:
    text = (DOCS / page).read_text(encoding="utf-8")
    return [shlex.split(line)[1:] for line in re.findall(r"(?m)^    (diagramgen .+)$", text)]


def snippets(page: str) -> list[str]:
    """Pieces of a build file on a page: lines set in that are no command."""
    text = (DOCS / page).read_text(encoding="utf-8")
    blocks = re.findall(r"(?m)(?:^    .+\n)+", text)
    return [re.sub(r"(?m)^    ", "", b) for b in blocks if "diagramgen" not in b]


def test_the_tutorial_s_commands_run_in_their_order(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    ran = commands("tutorial.md")
    assert len(ran) >= 17
    for words in ran:
        # Enter at every question of the interview.
        done = CliRunner().invoke(group, words, prog_name="diagramgen", input="\n" * 60)
        assert done.exit_code == 0, (words, done.output)
    made = {p.name for p in tmp_path.iterdir()}
    assert {"job.yaml", "sample.yaml", "first", "cards", "labels", "packet", "readings.yaml", "tested",
            "record"} <= made
    assert (tmp_path / "packet" / "packet.pdf").read_bytes().startswith(b"%PDF")
    assert "bleed: bleed-parallel" in (tmp_path / "job.yaml").read_text()
    assert "tag W01" in (tmp_path / "job.yaml").read_text()


@pytest.mark.parametrize("words", commands("measuring.md"), ids=" ".join)
def test_the_commands_of_the_page_on_measuring_run(words, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done = CliRunner().invoke(group, words, prog_name="diagramgen")
    assert done.exit_code == 0, done.output


@pytest.mark.parametrize("snippet", snippets("measuring.md"), ids=lambda s: s[:20])
def test_what_the_page_on_measuring_writes_is_read(snippet, tmp_path):
    (tmp_path / "traced.svg").write_text(OUTLINE)
    parts = "" if "parts:" in snippet else "parts: {output: jack-mono-open}\n"
    say = Diagnostics()
    read_build(f"format: 1\ntitle: T\n{parts}{snippet}".encode(), "b.yaml", Sources(tmp_path), shipped(), say)
    assert [p.text() for p in say if p.severity is Severity.ERROR] == []


@pytest.mark.parametrize("line", re.findall(r"(?m)^diagramgen (.+)$", (DOCS / "faults.md").read_text(encoding="utf-8")))
def test_the_commands_of_the_page_on_faults_run(line, tmp_path, monkeypatch):
    shutil.copytree(ROOT / "samples", tmp_path / "samples")
    monkeypatch.chdir(tmp_path)
    done = CliRunner().invoke(group, shlex.split(line), prog_name="diagramgen")
    assert done.exit_code == 0, done.output


def test_the_command_of_the_page_on_the_lead_list_runs_and_its_work_says_what_to_cut_from_each_length(
    tmp_path, monkeypatch
):
    shutil.copy(ROOT / "samples" / "one-volume.yaml", tmp_path)
    monkeypatch.chdir(tmp_path)
    (words,) = commands("lead-list.md")
    done = CliRunner().invoke(group, words, prog_name="diagramgen")
    assert done.exit_code == 0, done.output
    assert {"leads.csv", "leads.json", "leads.pdf", "work.pdf"} <= {p.name for p in (tmp_path / "cut").iterdir()}
    work = "".join(p.read_text(encoding="utf-8") for p in (tmp_path / "cut").glob("work-*.svg"))
    assert "from lengths of 5000 mm" in work


def test_measures_the_page_names_are_on_the_cards():
    text = (DOCS / "measuring.md").read_text(encoding="utf-8")
    known = {name for symbol in (shipped()[n] for n in ("pot-24", "toggle-short", "jack-mono-open"))
             for name in symbol.dimensions}
    rows = re.findall(r"(?m)^\| .+ \| (.+) \|$", text)[2:]
    named = {name for row in rows for name in re.findall(r"`([\w-]+)`", row)}
    assert len(named) >= 4
    assert named <= known


@pytest.mark.parametrize("page", ["changes", "completion", "faults", "labels", "lead-list", "measuring", "page",
                                  "picture", "preview", "prices", "record", "sheets", "shop", "tutorial"])
def test_a_page_for_technicians_begins_with_its_job_and_what_is_in_hand(page):
    title, begins, *_ = (DOCS / f"{page}.md").read_text(encoding="utf-8").split("\n\n")
    assert title.startswith("# ")
    assert begins.startswith("The job: ")
    assert "In hand: " in " ".join(begins.split())


def test_every_page_the_docs_link_to_is_there():
    for page in DOCS.glob("*.md"):
        for link in re.findall(r"\]\(([\w./-]+\.md)\)", page.read_text(encoding="utf-8")):
            assert (page.parent / link).is_file(), (page.name, link)
