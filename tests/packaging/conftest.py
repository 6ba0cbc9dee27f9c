"""The archives, built once, and the wheel in a folder of its own."""

from __future__ import annotations

import subprocess
import sys

import pytest
from installing import ROOT, pip_install, plain


@pytest.fixture(scope="session")
def archives(tmp_path_factory):
    """Wheel and sdist, built without the network: the wheel out of the sdist, as an index would serve it."""
    out = tmp_path_factory.mktemp("dist")
    subprocess.run([sys.executable, "-m", "build", "--no-isolation", "--outdir", str(out), str(ROOT)],
                   check=True, capture_output=True, env=plain())  # fmt: skip
    (wheel,) = out.glob("*.whl")
    (sdist,) = out.glob("*.tar.gz")
    return wheel, sdist


@pytest.fixture(scope="session")
def installed(archives, tmp_path_factory):
    """The wheel alone in a folder; what it depends on comes from the surroundings."""
    return pip_install(tmp_path_factory.mktemp("installed"), str(archives[0]))
