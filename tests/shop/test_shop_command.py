"""``shop``: only what changed is made anew, whatever it rests on; the index says all; docs/shop.md runs."""

from __future__ import annotations

import json
import os
import re
import shutil
import sys
from pathlib import Path, PurePosixPath

import pytest
from running import BROKEN, LOOSE, ROOT, SAMPLES, quick, run

from diagramgen.features.shop import compute as office
from diagramgen.features.shop.find_jobs import places_of
from diagramgen.features.shop.jobs import Job, as_plain, check_numbers, from_plain
from diagramgen.features.shop.workers import Lost
from diagramgen.kernel.diagnostics import Diagnostics

TINY = Path(LOOSE).read_text(encoding="utf-8")
FAST = ("--sheet", "leads", "--workers", "1", "--limit", "0")


def job_text(number, text=TINY, **header):
    """The tiny build with a header of its own."""
    keys = {"job": number, **header}
    kept = [line for line in text.splitlines() if line.partition(":")[0] not in keys]
    return "\n".join([*kept[:1], *(f"{key}: {json.dumps(value, ensure_ascii=False)}" for key, value in keys.items()),
                      *kept[1:], ""])


@pytest.fixture
def jobs(tmp_path, monkeypatch):
    """Three jobs, one of them in a folder of its own."""
    folder = tmp_path / "jobs"
    (folder / "later").mkdir(parents=True)
    (folder / "a.yaml").write_text(job_text("LL-2", customer="A. Quill", reference="PO-7"), encoding="utf-8")
    (folder / "b.yaml").write_text(job_text("LL-10", instrument="Archtop"), encoding="utf-8")
    (folder / "later" / "c.yaml").write_text(job_text("LL-3"), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return folder


def shop(*more):
    result = quick("shop", "jobs", *FAST, *more)
    assert "Traceback" not in result.output
    return result


def made(*more):
    return json.loads(shop("--json", *more).stdout)["made"]


def test_every_job_is_made_once_and_then_only_what_changed(jobs):
    first = shop()
    assert (first.exit_code, first.stdout.splitlines()[-1]) == (0, "3 jobs: 3 made, 0 unchanged; no problems")
    assert (jobs / "sheets" / "later" / "c" / "leads.pdf").read_bytes().startswith(b"%PDF-")
    before = {p: p.stat().st_mtime_ns for p in (jobs / "sheets").rglob("*/*") if p.is_file()}
    assert made() == []
    (jobs / "b.yaml").write_text(job_text("LL-10", instrument="Flat top"), encoding="utf-8")
    assert made() == ["b.yaml"]
    after = {p: p.stat().st_mtime_ns for p in before}
    assert {p.parent.name for p in before if before[p] != after[p]} == {"b"}


def test_settings_make_all_anew_and_a_lost_sheet_its_own_job(jobs):
    shop()
    assert len(made("--paper", "letter")) == 3
    shop()
    (jobs / "sheets" / "a" / "leads.pdf").unlink()
    assert made() == ["a.yaml"]
    (jobs / "sheets" / "b" / "job.json").unlink()
    assert made() == ["b.yaml"]


def test_a_sheet_of_a_job_that_the_user_changed_is_kept_and_the_other_jobs_are_made(jobs):
    shop()
    theirs = jobs / "sheets" / "b" / "leads.csv"
    theirs.write_text("with my notes", encoding="utf-8")
    (jobs / "a.yaml").write_text(job_text("LL-2", instrument="Flat top"), encoding="utf-8")
    before = {p.name: p.read_bytes() for p in theirs.parent.iterdir()}
    result = shop()
    assert result.exit_code == 3
    assert f"{Path('jobs', 'b.yaml')}: error SHP-705: its sheets are not written: " in result.stderr
    assert f"cannot write {theirs.relative_to(jobs.parent)}: it was changed since it was written" in result.stderr
    assert "--replace writes over it" in result.stderr
    assert result.stdout.splitlines()[-1] == "3 jobs: 1 made, 1 unchanged, 1 not made; no problems"
    assert {p.name: p.read_bytes() for p in theirs.parent.iterdir()} == before
    page = (jobs / "sheets" / "index.html").read_text(encoding="utf-8")
    assert "not printed, 1 error" in page
    assert "LL-10" in page
    assert made("--replace") == ["b.yaml"]
    assert theirs.read_text(encoding="utf-8") != "with my notes"


@pytest.mark.parametrize("name", ["job.json", "job-sheets.json"])
def test_what_the_shop_keeps_of_a_job_is_not_replaced_where_it_was_changed(jobs, name):
    shop()
    theirs = jobs / "sheets" / "a" / name
    theirs.write_text('{"format": 1, "file": 3}', encoding="utf-8")
    (jobs / "a.yaml").write_text(job_text("LL-2", instrument="Flat top"), encoding="utf-8")
    assert shop().exit_code == 3
    assert theirs.read_text(encoding="utf-8") == '{"format": 1, "file": 3}'
    assert made("--replace") == ["a.yaml"]


def test_an_index_of_the_users_own_is_kept(jobs):
    (jobs / "sheets").mkdir()
    (jobs / "sheets" / "index.html").write_text("my list", encoding="utf-8")
    result = shop()
    assert result.exit_code == 3
    assert f"cannot write {Path('jobs', 'sheets', 'index.html')}: a file of that name is there already" in result.stderr
    assert (jobs / "sheets" / "index.html").read_text(encoding="utf-8") == "my list"
    assert not (jobs / "sheets" / "index.pdf").exists()
    assert shop("--replace").exit_code == 0
    assert shop().exit_code == 0


@pytest.mark.parametrize("key", ["as found", "changes to"])
def test_builds_that_name_each_other_are_all_jobs_and_it_is_said(jobs, key):
    ring = {"a.yaml": "b.yaml", "b.yaml": "./c.yaml", "c.yaml": "later/../a.yaml"}
    for name, other in ring.items():
        (jobs / name).write_text(job_text("", **{key: other}), encoding="utf-8")
    names = [task.name for task in office.tasks(jobs, jobs / "sheets")]
    assert names == ["a.yaml", "b.yaml", "c.yaml", "later/c.yaml"]
    said = shop().stderr
    assert said.count("warning SHP-703") == 1
    assert "'a.yaml', 'b.yaml', 'c.yaml' name one another" in said


def test_a_state_as_found_beside_a_ring_is_still_no_job_of_its_own(jobs):
    (jobs / "a.yaml").write_text(job_text("", **{"as found": "b.yaml"}), encoding="utf-8")
    (jobs / "b.yaml").write_text(job_text("", **{"as found": "a.yaml"}), encoding="utf-8")
    (jobs / "found.yaml").write_text(job_text(""), encoding="utf-8")
    (jobs / "left.yaml").write_text(job_text("", **{"as found": "later/../found.yaml"}), encoding="utf-8")
    (jobs / "self.yaml").write_text(job_text("", **{"as found": "./self.yaml"}), encoding="utf-8")
    found = office.tasks(jobs, jobs / "sheets")
    assert [task.name for task in found] == ["a.yaml", "b.yaml", "later/c.yaml", "left.yaml", "self.yaml"]
    assert {task.name: task.ring for task in found if task.ring} == dict.fromkeys(("a.yaml", "b.yaml"),
                                                                                  ("a.yaml", "b.yaml"))


@pytest.mark.parametrize(("builds", "places"), [
    (["a.yaml", "a.yml", "a.yml.yaml"], ["a", "a.yml", "a.yml.yaml"]),
    (["A.yaml", "a.yaml", "a.YAML"], ["A", "a-2", "a.YAML"]),
    (["later/x.yaml", "Later/X.yaml", "later/x-2.yaml"], ["later/x", "Later/X-2", "later/x-2-2"]),
    (["caf\u00e9.yaml", "cafe\u0301.yaml"], ["caf\u00e9", "cafe\u0301-2"]),
    (["a.yaml", "a/leads.csv.yaml", "a/job.json.yaml", "index.html.yaml", "v1.2.yaml"],
     ["a", "a/leads.csv.yaml", "a/job.json.yaml", "index.html.yaml", "v1.2"]),
])
def test_no_two_jobs_share_a_folder_wherever_it_is_copied_to(builds, places):
    assert [place.as_posix() for place in places_of([PurePosixPath(b) for b in builds]).values()] == places


def test_an_ending_in_capital_letters_is_a_build_too(jobs):
    (jobs / "D.YAML").write_text(job_text("LL-4"), encoding="utf-8")
    (jobs / "e.Yml").write_text(job_text("LL-5"), encoding="utf-8")
    assert {"D.YAML", "e.Yml"} <= {task.name for task in office.tasks(jobs, jobs / "sheets")}


def test_builds_whose_names_once_met_in_one_folder_have_sheets_of_their_own(jobs):
    (jobs / "d.yml").write_text(job_text("LL-4"), encoding="utf-8")
    (jobs / "d.yml.yaml").write_text(job_text("LL-5"), encoding="utf-8")
    assert shop().exit_code == 0
    for place, number in (("d.yml", "LL-4"), ("d.yml.yaml", "LL-5")):
        assert json.loads((jobs / "sheets" / place / "job.json").read_text(encoding="utf-8"))["job"] == number
    assert made() == []


def test_another_version_of_the_program_makes_all_anew(jobs, monkeypatch):
    shop()
    monkeypatch.setattr(office, "__version__", "99.0")
    assert len(made()) == 3


def test_a_change_in_a_file_that_the_state_as_found_names_is_seen(jobs):
    outline = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 90 60"><rect width="{}" height="60"/></svg>'
    found = job_text("LL-2").replace("parts:", "cavity: {shape: {svg: wall.svg, width: 90}, depth: 40}\nparts:", 1)
    (jobs / "found.yaml").write_text(found, encoding="utf-8")
    (jobs / "wall.svg").write_text(outline.format(90), encoding="utf-8")
    (jobs / "a.yaml").write_text(job_text("LL-2", **{"as found": "found.yaml"}), encoding="utf-8")
    first = shop()
    assert (first.exit_code, first.stdout.splitlines()[-1]) == (0, "3 jobs: 3 made, 0 unchanged; no problems")
    assert made() == []
    (jobs / "wall.svg").write_text(outline.format(80), encoding="utf-8")
    assert made() == ["a.yaml"]
    (jobs / "found.yaml").write_text(found + "# metered again\n", encoding="utf-8")
    assert made() == ["a.yaml"]


def test_own_symbols_are_part_of_what_sheets_rest_on(jobs, tmp_path):
    own = tmp_path / "own"
    own.mkdir()
    text = (ROOT / "symbols" / "jack-mono-open.yaml").read_text(encoding="utf-8")
    (own / "jack-of-ours.yaml").write_text(text.replace("symbol: jack-mono-open", "symbol: jack-of-ours"),
                                           encoding="utf-8")
    a = (jobs / "a.yaml").read_text(encoding="utf-8")
    assert "jack-mono-open" in a
    (jobs / "a.yaml").write_text(a.replace("jack-mono-open", "jack-of-ours"), encoding="utf-8")
    assert len(made("--symbols", "own")) == 3
    office._shipped.cache_clear()
    assert made("--symbols", "own") == []
    (own / "jack-of-ours.yaml").write_text((own / "jack-of-ours.yaml").read_text(encoding="utf-8") + "# seen\n",
                                           encoding="utf-8")
    office._shipped.cache_clear()
    assert made("--symbols", "own") == ["a.yaml"]


def test_a_job_that_becomes_faulty_loses_its_sheets_and_the_index_says_so(jobs):
    shop()
    (jobs / "a.yaml").write_text(job_text("LL-2", BROKEN), encoding="utf-8")
    result = shop()
    assert result.exit_code == 1
    assert "error INP-302" in result.stderr
    assert "1 with errors and so without sheets" in result.stdout
    assert {p.name for p in (jobs / "sheets" / "a").iterdir()} == {"job.json", "job-sheets.json"}
    page = (jobs / "sheets" / "index.html").read_text(encoding="utf-8")
    assert re.search(r"not printed, [1-9] error", page)
    assert "no lug &#39;finsh&#39;" in page
    (jobs / "a.yaml").write_text(job_text("LL-2"), encoding="utf-8")
    assert shop().exit_code == 0
    assert (jobs / "sheets" / "a" / "leads.pdf").is_file()


def test_two_jobs_with_one_number_are_a_problem_at_its_line(jobs):
    (jobs / "later" / "c.yaml").write_text(job_text("ll-2"), encoding="utf-8")
    result = shop()
    assert result.exit_code == 1
    line = next(n for n, text in enumerate(job_text("x").splitlines(), 1) if text.startswith("job:"))
    assert f"{Path('jobs', 'later', 'c.yaml')}:{line}:1: error SHP-701" in result.stderr
    assert "'a.yaml'" in result.stderr
    assert len(list((jobs / "sheets").rglob("leads.pdf"))) == 3


def test_a_state_as_found_is_no_job_of_its_own_but_an_earlier_job_is(jobs):
    for path in SAMPLES.glob("two-pickups-toggle*.yaml"):
        shutil.copy(path, jobs)
    names = [task.name for task in office.tasks(jobs, jobs / "sheets")]
    assert "two-pickups-toggle.yaml" in names
    assert "two-pickups-toggle-found.yaml" not in names
    found = jobs / "two-pickups-toggle-found.yaml"
    found.write_text(found.read_text(encoding="utf-8").replace("job: LL-1131", "job: LL-0900"), encoding="utf-8")
    assert found.name in [task.name for task in office.tasks(jobs, jobs / "sheets")]


def test_builds_of_one_number_with_revisions_of_their_own_are_one_job_and_it_says_what_changed(jobs):
    more = TINY.replace("  output: jack", "  volume: pot-24, 250k log\n  output: jack")
    (jobs / "later" / "c.yaml").write_text(job_text("LL-2", revision="A"), encoding="utf-8")
    (jobs / "a.yaml").write_text(job_text("LL-2", more, revision="B"), encoding="utf-8")
    first = shop()
    assert "SHP-701" not in first.stderr
    assert first.stdout.splitlines()[-1].startswith("2 jobs: 2 made, 0 unchanged")
    plain = json.loads((jobs / "sheets" / "a" / "job.json").read_text(encoding="utf-8"))
    assert plain["history"] == ["A to B: Part volume goes in (rotary pot, 24 mm, 250k log)"]
    assert "A to B: Part volume goes in" in (jobs / "sheets" / "index.html").read_text(encoding="utf-8")
    assert made() == []
    other = job_text("LL-2", more.replace("250k", "500k"), revision="A")
    (jobs / "later" / "c.yaml").write_text(other, encoding="utf-8")
    assert made() == ["a.yaml"]
    plain = json.loads((jobs / "sheets" / "a" / "job.json").read_text(encoding="utf-8"))
    assert plain["history"] == ["A to B: Part volume is replaced (track: 500k -> 250k)"]
    (jobs / "later" / "c.yaml").unlink()
    assert made() == ["a.yaml"]
    # One without a revision, or two of one revision, are two jobs with one number.
    (jobs / "later" / "c.yaml").write_text(job_text("LL-2", revision="B"), encoding="utf-8")
    assert "SHP-701" in shop().stderr


def test_what_is_no_build_is_left_alone(jobs):
    shutil.copytree(SAMPLES / "prices", jobs / "prices")
    shutil.copytree(SAMPLES / "groups", jobs / "groups")
    shutil.copy(ROOT / "symbols" / "pot-24.yaml", jobs)
    (jobs / ".hidden").mkdir()
    (jobs / ".hidden" / "x.yaml").write_text(TINY, encoding="utf-8")
    (jobs / "sheets").mkdir()
    (jobs / "sheets" / "x.yaml").write_text(TINY, encoding="utf-8")
    assert [task.name for task in office.tasks(jobs, jobs / "sheets")] == ["a.yaml", "b.yaml", "later/c.yaml"]


def test_a_job_that_is_not_finished_in_time_loses_its_old_sheets_and_is_said(jobs):
    shop()
    (jobs / "a.yaml").write_text(job_text("LL-2", instrument="Flat top"), encoding="utf-8")
    (jobs / "sheets" / "a" / "notes.txt").write_text("mine", encoding="utf-8")
    found = office.tasks(jobs, jobs / "sheets")
    heard = []
    results, refused = office.run(found, office.Wishes(sheets=("leads",)), 1, lambda job, anew: heard.append(
        (job.file, anew)), 0.01)
    assert refused == ()
    assert sorted(heard) == [("a.yaml", False), ("b.yaml", False), ("later/c.yaml", False)]
    (late,) = [job for job in results if job.errors]
    assert (late.file, late.job, late.printed) == ("a.yaml", "LL-2", False)
    assert "a.yaml: error SHP-704: its sheets were not finished within" in late.problems[0]
    assert "--limit" in late.problems[0]
    assert {p.name for p in (jobs / "sheets" / "a").iterdir()} == {"job.json", "job-sheets.json", "notes.txt"}
    assert made() == ["a.yaml"]  # with time enough it is made


def test_a_job_whose_process_is_ended_is_said_and_the_others_are_made(jobs, monkeypatch):
    monkeypatch.setattr(office, "each", lambda work, things, *_: ((t, Lost(late=False) if n else work(t)) for n, t in
                                                                  enumerate(things)))
    result = shop()
    assert result.exit_code == 1
    assert result.stderr.count("error SHP-706") == 2
    assert "--workers 1" in result.stderr
    assert result.stdout.splitlines()[-1] == "3 jobs: 1 made, 0 unchanged, 2 not made; no problems"


def test_a_job_without_a_number_is_noted_and_an_empty_folder_is_wrong_usage(jobs, tmp_path):
    (jobs / "b.yaml").write_text(job_text(""), encoding="utf-8")
    result = shop()
    assert "SHP-702" in result.stderr
    (tmp_path / "empty").mkdir()
    assert quick("shop", "empty").exit_code == 2
    assert quick("shop", "nowhere").exit_code == 2


def test_two_processes_make_the_same_bytes_as_one_and_no_bar_is_drawn_into_a_pipe(jobs):
    for workers, out in (("1", "one"), ("2", "two")):
        done = run("shop", "jobs", "--sheet", "leads", "--workers", workers, "--out", out, cwd=jobs.parent)
        assert (done.returncode, done.stderr) == (0, "")
    files = {p.relative_to(jobs.parent / "one") for p in (jobs.parent / "one").rglob("*") if p.is_file()}
    assert files == {p.relative_to(jobs.parent / "two") for p in (jobs.parent / "two").rglob("*") if p.is_file()}
    assert len([f for f in files if f.name == "leads.pdf"]) == 3
    assert all((jobs.parent / "one" / f).read_bytes() == (jobs.parent / "two" / f).read_bytes() for f in files)


def test_a_bar_is_drawn_on_a_terminal(jobs):
    pty = pytest.importorskip("pty")
    seen = []

    def read(handle):
        seen.append(os.read(handle, 4096))
        return seen[-1]

    environment = f"PYTHONPATH={ROOT}"
    status = pty.spawn(["env", environment, sys.executable, "-m", "diagramgen", "shop", str(jobs), *FAST], read)
    assert status == 0
    assert re.search(rb"jobs .*3/3", b"".join(seen))
    assert re.search(rb"jobs .*0/3.* a\.yaml", b"".join(seen))  # what is being made is named before it is done


def test_a_folder_that_cannot_be_written_ends_with_3(jobs):
    (jobs.parent / "file").write_text("", encoding="utf-8")
    for workers in ("1", "2"):
        done = run("shop", "jobs", "--sheet", "leads", "--workers", workers, "--out", "file/inside", cwd=jobs.parent)
        assert done.returncode == 3, done.stderr
        assert "error: cannot write" in done.stderr
        assert "Traceback" not in done.stderr


def test_a_summary_read_back_is_the_same_and_one_tampered_with_is_none(jobs):
    shop()
    plain = json.loads((jobs / "sheets" / "a" / "job.json").read_text(encoding="utf-8"))
    job = from_plain(plain)
    assert isinstance(job, Job)
    assert json.loads(json.dumps(as_plain(job))) == plain
    for key in plain:
        assert from_plain({**plain, key: {"x": object} if key != "format" else 2}) is None, key
    assert from_plain([]) is None


def test_numbers_are_the_same_whatever_their_case_and_blanks(jobs):
    shop()
    job = from_plain(json.loads((jobs / "sheets" / "a" / "job.json").read_text(encoding="utf-8")))
    say = Diagnostics()
    from dataclasses import replace

    check_numbers([job, replace(job, job=" ll-2 "), replace(job, job="LL-22"), replace(job, job="")], jobs, say)
    assert [p.code for p in say] == ["SHP-701", "SHP-702"]


def test_the_commands_of_the_page_run(jobs):
    page = (ROOT / "docs" / "shop.md").read_text(encoding="utf-8")
    lines = re.findall(r"(?m)^    diagramgen (.+)$", page)
    assert len(lines) >= 2
    for line in lines:
        assert quick(*line.split()).exit_code == 0, line
    assert (jobs / "sheets" / "index.pdf").is_file()
