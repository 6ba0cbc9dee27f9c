"""``./run`` notices an environment that is not whole, and mends it or says one sentence.

A Python is played by a small script, so that nothing is fetched: ``-m venv`` makes folders, ``-m pip`` puts a package
into them and writes down that it was asked, and the program beside ``run`` says where it lies.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from installing import ROOT

BASH = shutil.which("bash")
pytestmark = pytest.mark.skipif(BASH is None or os.name == "nt", reason="missing: bash")

PLAYED = r"""#!/bin/bash
# Takes the place of a Python; what it may not do stands in files beside the first one of it.
home={home}
site=$(dirname "$0")/../lib/python3.11/site-packages
case "$*" in
  *"import ensurepip"*) [ ! -e "$home/no-ensurepip" ]; exit ;;
  *"import sys, pip"*) [ -d "$site/pip" ]; exit ;;
  *cache_tag*) cat "$home/tag"; exit ;;
  "-m venv "*)
    [ ! -e "$home/no-venv" ] || {{ echo "a traceback"; echo "Error: no space left"; exit 1; }}
    mkdir -p "$3/bin" "$3/lib/python3.11/site-packages/pip"
    cp "$0" "$3/bin/python"
    touch "$3/pyvenv.cfg"
    exit ;;
  "-m pip install "*)
    echo "$PWD ${{@: -1}}" >>"$home/installs"
    while [ -e "$home/slow" ]; do sleep 0.05; done
    [ ! -e "$home/offline" ] || {{ echo "WARNING: Retrying"; echo "ERROR: No matching thing found"; exit 1; }}
    mkdir -p "$site/click" "$site/click-8.dist-info"
    exit ;;
  "-m ruff "* | "-m mypy"*) exit ;;
  "-m pytest "*) echo "$*" >"$home/tested"; exit ;;
esac
exec {real} "$@"
"""


class Checkout:
    """A checkout with ``run``, a program that says where it lies, and a Python that is played."""

    def __init__(self, folder: Path):
        self.root, self.home = folder / "check out", folder / "home"
        (self.root / "diagramgen").mkdir(parents=True)
        self.home.mkdir()
        shutil.copy(ROOT / "run", self.root)
        (self.root / "pyproject.toml").write_text("[project]\n")
        (self.root / "diagramgen" / "__init__.py").write_text("")
        (self.root / "diagramgen" / "__main__.py").write_text("import sys\nprint(__file__, *sys.argv[1:])\n")
        self.python = self.home / "python3.11"
        self.python.write_text(PLAYED.format(home=f"'{self.home}'", real=f"'{sys.executable}'"))
        self.python.chmod(0o755)
        (self.home / "tag").write_text("cpython-311\n")

    @property
    def venv(self) -> Path:
        return self.root / ".venv"

    @property
    def installs(self) -> int:
        """How often something was fetched."""
        listed = self.home / "installs"
        return len(listed.read_text().splitlines()) if listed.exists() else 0

    def start(self, *arguments: str, cwd: Path | None = None, **more: str) -> subprocess.Popen[str]:
        assert BASH is not None
        # Only what stands here is found: no other Python of the machine.
        tools = self.home / "tools"
        tools.mkdir(exist_ok=True)
        for tool in ("bash", "cksum", "tail", "head", "cat", "dirname", "ls", "grep", "rm", "cp", "mkdir", "touch",
                     "sleep"):
            if not (tools / tool).exists() and (found := shutil.which(tool)):
                (tools / tool).symlink_to(found)
        environment = {"PATH": f"{self.home}{os.pathsep}{tools}", "HOME": str(self.home), **more}
        return subprocess.Popen([BASH, str(self.root / "run"), *arguments], cwd=cwd or self.home, env=environment,
                                stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True)

    def run(self, *arguments: str, cwd: Path | None = None, **more: str) -> subprocess.CompletedProcess[str]:
        started = self.start(*arguments, cwd=cwd, **more)
        out, err = started.communicate(timeout=60)
        return subprocess.CompletedProcess([], started.returncode, out, err)

    def works(self) -> None:
        """It runs the program beside it, and a second time nothing is set up."""
        here = f"{self.root / 'diagramgen' / '__main__.py'} check a.yaml\n"
        done = self.run("check", "a.yaml")
        assert (done.returncode, done.stdout) == (0, here), done.stderr
        count = self.installs
        again = self.run("check", "a.yaml")
        assert (again.stdout, again.stderr) == (here, "")
        assert self.installs == count

    def says(self, words: str) -> None:
        """It ends with one sentence, after that it sets up."""
        done = self.run("check")
        assert done.returncode == 1
        assert done.stdout == ""
        *before, last = done.stderr.splitlines()
        assert last.startswith("diagramgen cannot be set up: ")
        assert words in last
        assert all(line.startswith("Setting up ") for line in before)


@pytest.fixture
def checkout(tmp_path: Path) -> Checkout:
    return Checkout(tmp_path)


def test_it_is_set_up_once(checkout: Checkout) -> None:
    first = checkout.run("check", "a.yaml")
    assert first.stderr == f"Setting up {checkout.venv} (once; needs the network) ...\n"
    checkout.works()
    assert checkout.installs == 1
    assert (checkout.home / "installs").read_text() == f"{checkout.root} .\n"


def test_new_things_to_install_are_installed_into_what_is_there(checkout: Checkout) -> None:
    checkout.works()
    (checkout.venv / "mine").write_text("")
    (checkout.root / "pyproject.toml").write_text("[project]\ndependencies = []\n")
    checkout.works()
    assert checkout.installs == 2
    assert (checkout.venv / "mine").exists()


def test_extras_are_installed_when_asked_for_and_again_in_an_environment_made_anew(checkout: Checkout) -> None:
    project = checkout.root / "pyproject.toml"
    project.write_text('[project.optional-dependencies]\npng = ["a"]\npicture = ["b"]\n')
    checkout.works()
    done = checkout.run("extras", "picture")
    assert (done.returncode, done.stdout) == (0, "installed: picture\n"), done.stderr
    checkout.works()
    assert checkout.run("extras", "png", "picture").stdout == "installed: picture png\n"
    assert checkout.run("extras", "png").stderr == "", "what is there is not installed again"
    (checkout.home / "tag").write_text("cpython-312\n")
    shutil.rmtree(checkout.venv / "bin")
    checkout.works()
    asked = [line.removeprefix(f"{checkout.root} ") for line in (checkout.home / "installs").read_text().splitlines()]
    assert asked == [".", ".[picture]", ".[picture,png]", ".[picture,png]"]


@pytest.mark.parametrize(("asked", "says"), [((), "say which extra"), (("pictures",), "there is no extra 'pictures'")])
def test_an_extra_that_there_is_not_is_refused_before_anything_is_made(
        checkout: Checkout, asked: tuple[str, ...], says: str) -> None:
    done = checkout.run("extras", *asked)
    assert done.returncode == 1
    assert says in done.stderr
    assert not checkout.venv.exists()


@pytest.mark.parametrize("cut", ["in the environment", "in the packages", "before pip"])
def test_a_set_up_that_was_cut_short_is_begun_anew(checkout: Checkout, cut: str) -> None:
    if cut == "in the packages":
        (checkout.home / "slow").write_text("")
        started = checkout.start("check")
        deadline = time.monotonic() + 30
        while not checkout.installs and time.monotonic() < deadline:
            time.sleep(0.02)
        os.killpg(started.pid, signal.SIGKILL)
        started.communicate()
        (checkout.home / "slow").unlink()
        (checkout.venv / "lib" / "python3.11" / "site-packages" / "half").mkdir()
    else:
        (checkout.venv / "bin").mkdir(parents=True)
        if cut == "before pip":
            shutil.copy(checkout.python, checkout.venv / "bin" / "python")
    checkout.works()
    assert not (checkout.venv / "lib" / "python3.11" / "site-packages" / "half").exists()


def test_what_was_installed_and_is_gone_is_noticed(checkout: Checkout) -> None:
    checkout.works()
    for folder in ("lib/python3.11/site-packages/click", "lib", "bin"):
        shutil.rmtree(checkout.venv / folder)
        checkout.works()
    assert checkout.installs == 4


def test_a_python_that_is_gone_or_replaced_is_noticed(checkout: Checkout) -> None:
    checkout.works()
    (checkout.venv / "bin" / "python").unlink()
    (checkout.venv / "bin" / "python").symlink_to("/nowhere/python3.11")
    checkout.works()
    (checkout.home / "tag").write_text("cpython-312\n")
    shutil.rmtree(checkout.venv / "lib" / "python3.11" / "site-packages" / "pip")  # it looks elsewhere now
    checkout.works()
    assert checkout.installs == 3


def test_a_copied_or_moved_checkout_runs_its_own_program(checkout: Checkout, tmp_path: Path) -> None:
    checkout.works()
    first = checkout.root
    checkout.root = tmp_path / "copy"
    shutil.copytree(first, checkout.root, symlinks=True)
    checkout.works()
    assert checkout.installs == 1  # no network is needed for it
    # Also from the folder of the first, whose program Python would find there.
    done = checkout.run("check", cwd=first)
    assert done.stdout == f"{checkout.root / 'diagramgen' / '__main__.py'} check\n"
    # And whatever else is told to be looked at.
    done = checkout.run("check", PYTHONPATH=str(first))
    assert done.stdout == f"{checkout.root / 'diagramgen' / '__main__.py'} check\n"
    shutil.rmtree(first)
    checkout.works()


def test_the_tests_of_a_copied_checkout_are_set_up_for_it(checkout: Checkout, tmp_path: Path) -> None:
    checkout.run("test")
    assert (checkout.home / "installs").read_text() == f"{checkout.root} .[test]\n"
    checkout.run("check")
    assert checkout.installs == 1  # who can test can run
    first = checkout.root
    checkout.root = tmp_path / "copy"
    shutil.copytree(first, checkout.root, symlinks=True)
    checkout.run("test")
    assert (checkout.home / "installs").read_text().splitlines()[1:] == [f"{checkout.root} .[test]"]


def test_the_quick_tests_are_those_that_are_not_slow(checkout: Checkout) -> None:
    checkout.run("test", "tests/kernel")
    assert (checkout.home / "tested").read_text() == "-m pytest -n 2 --dist loadfile tests/kernel\n"
    checkout.run("test", "--quick", "-x")
    assert (checkout.home / "tested").read_text() == "-m pytest -n 2 --dist loadfile -m not slow -x\n"


def test_a_python_without_ensurepip_is_said_before_anything_is_made(checkout: Checkout) -> None:
    (checkout.home / "no-ensurepip").write_text("")
    checkout.says("python3.11 lacks ensurepip, which makes environments (on Debian and Ubuntu: sudo apt install "
                  "python3-venv)")
    assert not checkout.venv.exists()
    (checkout.home / "no-ensurepip").unlink()
    checkout.works()


def test_another_python_that_has_it_is_taken(checkout: Checkout) -> None:
    lacking = checkout.home / "python3.13"
    lacking.write_text('#!/bin/bash\ncase "$*" in *ensurepip*) exit 1 ;; esac\nexit 0\n')
    lacking.chmod(0o755)
    checkout.works()


def test_without_any_python_it_is_said_unless_the_environment_is_whole(checkout: Checkout) -> None:
    checkout.python.rename(checkout.home / "hidden")
    checkout.says("it needs Python 3.11 or newer")
    (checkout.home / "hidden").rename(checkout.python)
    checkout.works()
    checkout.python.unlink()
    checkout.works()


def test_an_environment_that_cannot_be_made_is_said_and_none_is_left(checkout: Checkout) -> None:
    (checkout.home / "no-venv").write_text("")
    checkout.says("Error: no space left")
    assert not checkout.venv.exists()


def test_without_network_it_is_said_and_what_there_was_still_runs(checkout: Checkout) -> None:
    (checkout.home / "offline").write_text("")
    for _ in range(2):
        checkout.says("ERROR: No matching thing found")
    (checkout.home / "offline").unlink()
    checkout.works()
    (checkout.home / "offline").write_text("")
    assert checkout.run("test").returncode == 1  # what the tests need cannot be fetched ...
    checkout.works()  # ... and the program runs as before


@pytest.mark.parametrize("kind", ["file", "folder"])
def test_what_is_no_environment_is_left_as_it_is(checkout: Checkout, kind: str) -> None:
    mine = checkout.venv if kind == "file" else checkout.venv / "letter.txt"
    mine.parent.mkdir(exist_ok=True)
    mine.write_text("mine")
    checkout.says("is no environment of Python's; move it away")
    assert mine.read_text() == "mine"


def test_an_environment_made_by_hand_is_taken_as_it_is(checkout: Checkout) -> None:
    subprocess.run([str(checkout.python), "-m", "venv", str(checkout.venv)], check=True,
                   env={**os.environ, "PATH": os.environ["PATH"]})
    (checkout.venv / "mine").write_text("")
    checkout.works()
    assert (checkout.venv / "mine").exists()


def test_two_at_once_set_up_once(checkout: Checkout) -> None:
    (checkout.home / "slow").write_text("")
    both = [checkout.start("check"), checkout.start("check")]
    deadline = time.monotonic() + 30
    while not checkout.installs and time.monotonic() < deadline:
        time.sleep(0.02)
    time.sleep(0.3)  # time for the other to come to the same place, were it let
    (checkout.home / "slow").unlink()
    outs = [one.communicate(timeout=60) for one in both]
    assert [one.returncode for one in both] == [0, 0], outs
    assert checkout.installs == 1
    assert sum("Waiting for another ./run" in err for _, err in outs) == 1


def test_run_away_from_its_program_says_so(checkout: Checkout) -> None:
    (checkout.root / "pyproject.toml").unlink()
    checkout.says("there is no pyproject.toml beside")
