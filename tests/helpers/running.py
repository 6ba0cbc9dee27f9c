"""The command as people run it, and as quickly as a test can."""

from __future__ import annotations

import os
import subprocess
import sys
import traceback
from pathlib import Path

from click.testing import CliRunner, Result

from diagramgen.app.main import group, main

ROOT = Path(__file__).resolve().parents[2]
SAMPLES = ROOT / "samples"

LOOSE = str(Path(__file__).with_name("tiny.yaml"))
"""A pickup on a jack without a cavity: only notes are said of it."""
BROKEN = Path(LOOSE).read_text(encoding="utf-8").replace("pickup.finish ", "pickup.finsh ")
"""The same with a lug that does not exist in line 7."""


def run(*arguments: str, cwd: Path | None = None, **surroundings: str) -> subprocess.CompletedProcess[str]:
    """The real command in a process of its own."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), **surroundings}
    return subprocess.run(
        [sys.executable, "-m", "diagramgen", *arguments], cwd=cwd, env=environment, capture_output=True,
        encoding="utf-8", timeout=120, check=False,
    )  # fmt: skip


def quick(*arguments: str) -> Result:
    """The same command in this process."""
    result = CliRunner().invoke(group, list(arguments), prog_name="diagramgen")
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def become(arguments: tuple[str, ...], *streams: int) -> None:
    """In a copy of the process: be the program with these streams (in, out, errors); never comes back."""
    status = 1
    try:
        for i, stream in enumerate(streams):
            os.dup2(stream, i)
        sys.argv = ["diagramgen", *arguments]
        sys.stdin, sys.stdout, sys.stderr = (os.fdopen(i, how, closefd=False) for i, how in enumerate("rww"))
        main()
    except SystemExit as ended:
        status = ended.code if isinstance(ended.code, int) else 0
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(status)
