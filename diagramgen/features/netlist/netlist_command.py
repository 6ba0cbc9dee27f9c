"""The command ``netlist``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("netlist", "Write one state of a build for ngspice.", 90, "features.netlist.cli:netlist")
