"""``preview`` as it is started and ended from a terminal."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PATIENCE = 120
PAGE = (ROOT / "docs" / "preview.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"(?m)^    diagramgen preview (.+)$", PAGE)


def started(*words):
    return subprocess.Popen([sys.executable, "-m", "diagramgen", "preview", *words], cwd=ROOT, text=True,
                            env=os.environ | {"PYTHONPATH": str(ROOT)},
                            stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding="utf-8")


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
@pytest.mark.parametrize("when", ["at once", "in the middle", "drawn"])
def test_it_ends_at_any_time_with_status_0_without_a_traceback_and_frees_its_port(how, when):
    with started("samples/three-singles-lever.yaml") as running:
        url = running.stdout.readline().strip()
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+/[\w-]{24}/", url)
        port = int(url.split(":")[2].split("/")[0])
        if when == "in the middle":
            time.sleep(0.5)
        if when == "drawn":
            assert urllib.request.urlopen(url, timeout=PATIENCE).status == 200
            line = running.stdout.readline()
            while not line.startswith("Drawing 1"):
                line = running.stdout.readline()
            assert re.fullmatch(r"Drawing 1: .*, file check [0-9a-f]{8}\.\n", line)
        running.send_signal(how)
        said, wrong = running.communicate(timeout=PATIENCE)
        assert (running.returncode, wrong) == (0, "")
        assert said.endswith("preview ended\n")
    with socket.socket() as free:
        free.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        free.bind(("127.0.0.1", port))


def test_a_port_that_is_taken_is_said_in_words_with_status_3():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        with started("samples/one-volume.yaml", "--port", port) as running:
            said, wrong = running.communicate(timeout=PATIENCE)
    assert (running.returncode, said) == (3, "")
    assert wrong.startswith(f"error: port {port} is taken by another program\n  What to do: ")


def test_the_port_asked_for_is_used_and_can_be_used_again_at_once():
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    for _ in range(2):
        with started("samples/one-volume.yaml", "--port", str(port), "--quiet") as running:
            url = running.stdout.readline()
            assert url.startswith(f"http://127.0.0.1:{port}/"), running.stderr.read()
            assert running.stdout.readline() == "Open this address. Ctrl-C ends the preview.\n"
            assert urllib.request.urlopen(url, timeout=PATIENCE).status == 200
            running.send_signal(signal.SIGINT)
            said, wrong = running.communicate(timeout=PATIENCE)
            assert (running.returncode, wrong) == (0, "")
            assert said == ""


def test_a_file_that_is_not_there_at_the_start_is_a_slip_and_ends_with_status_1(tmp_path):
    with started(str(tmp_path / "none.yaml")) as running:
        said, wrong = running.communicate(timeout=PATIENCE)
    assert (running.returncode, said) == (1, "")
    assert "error INP-020: there is no such file" in wrong


@pytest.mark.parametrize("line", [*EXAMPLES, "--help"])
def test_the_commands_of_the_page_and_the_examples_of_the_help_run(line):
    if line == "--help":
        with started(line) as running:
            said, _ = running.communicate(timeout=PATIENCE)
        assert re.findall(r"(?m)^ +diagramgen preview (.+)$", said) == EXAMPLES
        return
    words = line.split()
    if "--port" in words:  # the page's own port may be taken here
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            words[-1] = str(free.getsockname()[1])
    with started(f"samples/{words[0]}", *words[1:]) as running:
        assert running.stdout.readline().startswith("http://127.0.0.1:")
        running.send_signal(signal.SIGINT)
        assert running.wait(PATIENCE) == 0
        running.communicate()


def test_a_file_full_of_errors_at_the_start_is_served_all_the_same():
    with started("samples/wrong-on-purpose.yaml") as running:
        url = running.stdout.readline().strip()
        running.stdout.readline()
        assert re.match(r"Drawing 1: \d+ errors", running.stdout.readline())
        page = urllib.request.urlopen(url, timeout=PATIENCE).read().decode()
        assert "There is no diagram yet" in page
        running.send_signal(signal.SIGINT)
        assert running.wait(PATIENCE) == 0
        running.communicate()
