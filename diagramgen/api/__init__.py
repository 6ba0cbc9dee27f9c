"""What other programs may call; ``docs/api.md`` shows it. ``import diagramgen`` has all of it.

Nothing here prints or exits, and nothing but ``write`` touches a file. Heavy libraries are loaded by the calls
that need them.
"""

from diagramgen.analysis import Analysis
from diagramgen.api.facts import (
    check,
    compare,
    empty_results,
    faults,
    guess,
    leads,
    netlist,
    read,
    readings,
    response,
    schema,
    solve,
    states,
    symbols,
)
from diagramgen.api.files import KINDS, labels, page, price, print_sheets, write
from diagramgen.api.records import (
    AtOutput,
    Comparison,
    Faults,
    Files,
    Guesses,
    PossibleFault,
    Price,
    Response,
    State,
    Symbol,
)
from diagramgen.job.lead_row import LeadRow
from diagramgen.job.verdict import Verdict
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Location, Problem
from diagramgen.kernel.errors import CannotWrite, DiagramgenError, NotAvailable, NotProved, UnknownName, WrongValue

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
