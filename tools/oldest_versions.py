"""Print the oldest version of every library that pyproject.toml allows, as constraints for pip.

    python tools/oldest_versions.py > oldest.txt
    python -m pip install --constraint oldest.txt --editable '.[test]'

In an environment made so, ``pytest -m "not slow"`` shows whether the lower bounds are true.
"""

from __future__ import annotations

import re
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
BOUND = re.compile(r"([A-Za-z0-9._-]+)(?:\[[^]]*\])?\s*>=\s*([0-9][0-9.]*)")


def oldest(project: dict[str, object]) -> dict[str, str]:
    """Map each library to the oldest version that all its bounds allow.

    Parameters: project - pyproject.toml as tomllib reads it; dependencies, all extras and what builds it are looked at.
    Returns: name -> version; a library without a lower bound is left out.
    """
    tables: dict = project  # type: ignore[type-arg]
    wanted = [*tables["build-system"]["requires"], *tables["project"]["dependencies"]]
    for extra in tables["project"]["optional-dependencies"].values():
        wanted += extra
    found: dict[str, str] = {}
    for row in wanted:
        if bound := BOUND.match(row):
            name, version = bound[1].lower(), bound[2]
            found[name] = max(found.get(name, "0"), version, key=lambda v: [int(n) for n in v.split(".")])
    return dict(sorted(found.items()))


def main() -> None:
    """Write the constraints to the standard output."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    sys.stdout.writelines(f"{name}=={version}\n" for name, version in oldest(project).items())


if __name__ == "__main__":
    main()
