"""Installing what was built, and running it away from the checkout."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def plain():
    return {k: v for k, v in os.environ.items() if k != "PYTHONPATH"}


def pip_install(target, *what):
    subprocess.run(
        [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-index", "--no-build-isolation",
         "--disable-pip-version-check", "--target", str(target), *what],
        check=True, capture_output=True, env=plain(),
    )  # fmt: skip
    return target


def run_python(*arguments, path, cwd, **surroundings):
    return subprocess.run([sys.executable, *arguments], cwd=cwd, capture_output=True, encoding="utf-8", check=False,
                          env={**plain(), "PYTHONPATH": str(path), **surroundings})  # fmt: skip
