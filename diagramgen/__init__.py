"""Full-size wiring diagrams and lead lists for the electric-guitar technician, from one build file."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.kernel.version import __version__

__all__ = ["KINDS", "Analysis", "AtOutput", "CannotWrite", "NotProved", "Place", "Problem", "Severity", "State",
           "UnknownName", "__version__", "print_sheets", "read", "solve", "states", "write"]

if TYPE_CHECKING:
    from diagramgen.api import (
        KINDS,
        Analysis,
        AtOutput,
        CannotWrite,
        NotProved,
        Place,
        Problem,
        Severity,
        State,
        UnknownName,
        print_sheets,
        read,
        solve,
        states,
        write,
    )
else:
    def __getattr__(name: str) -> object:
        """What programs may call is loaded when it is first asked for, so that ``--help`` stays quick."""
        if name in __all__:
            from diagramgen import api

            return getattr(api, name)
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")

    def __dir__() -> list[str]:
        """What the tab key offers."""
        return sorted(__all__)
