"""The program's version, as it stands in every file it writes."""

__version__ = "0.1.0"
