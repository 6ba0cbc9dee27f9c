"""Ctrl-C ends with one word and status 130, also while libraries are being imported."""

from __future__ import annotations

import subprocess
import sys

from running import ROOT

IMPORTING = """
import signal, sys, os
import diagramgen.app.main as cli
cli._watch_ctrl_c()
sys.path.insert(0, sys.argv[1])
import slow
"""


def test_a_library_that_is_being_imported_says_nothing(tmp_path) -> None:
    """As a compiled library would, this one prints what broke its import off."""
    (tmp_path / "slow.py").write_text(
        "import os, signal, traceback\n"
        "try:\n    os.kill(os.getpid(), signal.SIGINT)\n    import time; time.sleep(5)\n"
        "except BaseException:\n    traceback.print_exc()\n    raise ImportError('broken off')\n", encoding="utf-8")
    done = subprocess.run([sys.executable, "-c", IMPORTING, str(tmp_path)], cwd=ROOT, capture_output=True, text=True,
                          check=False, timeout=60)
    assert (done.returncode, done.stderr) == (130, "stopped\n")


def test_elsewhere_it_is_the_usual_interruption() -> None:
    code = ("import os, signal\nimport diagramgen.app.main as cli\ncli._watch_ctrl_c()\n"
            "try:\n    os.kill(os.getpid(), signal.SIGINT)\n    import time; time.sleep(5)\n"
            "except KeyboardInterrupt:\n    print('cleaned up')\n")
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True,
                          timeout=60)
    assert done.stdout == "cleaned up\n"
