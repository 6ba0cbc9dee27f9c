"""The command ``readings``."""

from __future__ import annotations

from diagramgen.console.command import Command

COMMAND = Command("readings", "Write a file to enter readings in; hold readings against it.", 60,
                  "features.readings.cli:readings")
