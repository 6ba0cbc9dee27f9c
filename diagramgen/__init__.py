"""Full-size wiring diagrams and lead lists for the electric-guitar technician, from one build file."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.kernel.version import __version__

__all__ = [
    "KINDS",
    "Analysis",
    "AtOutput",
    "CannotWrite",
    "Comparison",
    "DiagramgenError",
    "Faults",
    "Files",
    "Guesses",
    "LeadRow",
    "Location",
    "NotAvailable",
    "NotProved",
    "PossibleFault",
    "Price",
    "Problem",
    "Response",
    "Severity",
    "State",
    "Symbol",
    "UnknownName",
    "Verdict",
    "WrongValue",
    "__version__",
    "check",
    "compare",
    "empty_results",
    "faults",
    "guess",
    "labels",
    "leads",
    "netlist",
    "page",
    "price",
    "print_sheets",
    "read",
    "readings",
    "response",
    "schema",
    "solve",
    "states",
    "symbols",
    "write",
]

if TYPE_CHECKING:
    from diagramgen.api import (
        KINDS,
        Analysis,
        AtOutput,
        CannotWrite,
        Comparison,
        DiagramgenError,
        Faults,
        Files,
        Guesses,
        LeadRow,
        Location,
        NotAvailable,
        NotProved,
        PossibleFault,
        Price,
        Problem,
        Response,
        Severity,
        State,
        Symbol,
        UnknownName,
        Verdict,
        WrongValue,
        check,
        compare,
        empty_results,
        faults,
        guess,
        labels,
        leads,
        netlist,
        page,
        price,
        print_sheets,
        read,
        readings,
        response,
        schema,
        solve,
        states,
        symbols,
        write,
    )
else:
    def __getattr__(name: str) -> object:
        """What programs may call is loaded when it is first asked for, so that ``--help`` stays quick."""
        if name in __all__:
            from diagramgen import api

            return getattr(api, name)
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}{_nearest(name)}")

    def _nearest(name: str) -> str:
        from diagramgen.kernel.diagnostics import nearest

        said = nearest(name, [one for one in __all__ if one[0] != "_"], limit=0)
        return f". {said}" if said.startswith(("Did", "Nearest")) else ""

    def __dir__() -> list[str]:
        """What the tab key offers."""
        return sorted(__all__)
