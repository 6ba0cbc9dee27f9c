"""A build file being edited on the disk, as an editor does it, and the preview of it."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "samples" / "three-singles-lever.yaml"


class Edited:
    """A build file being edited, and the preview of it."""

    def __init__(self, folder):
        self.file = Path(shutil.copy(SAMPLE, folder / "my.yaml"))
        self.running = subprocess.Popen(
            [sys.executable, "-m", "diagramgen", "preview", str(self.file)], cwd=ROOT, encoding="utf-8",
            env=os.environ | {"PYTHONPATH": str(ROOT)}, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        self.url = self.running.stdout.readline().strip()

    def change(self, old, new):
        text = self.file.read_text(encoding="utf-8")
        assert old in text
        self.save(text.replace(old, new))

    def save(self, text):
        """As careful editors do: beside it, then in its place."""
        beside = self.file.with_suffix(".new")
        beside.write_text(text, encoding="utf-8")
        os.replace(beside, self.file)

    def end(self):
        self.running.send_signal(signal.SIGINT)
        _, wrong = self.running.communicate(timeout=60)
        return self.running.returncode, wrong
