"""Outline of a cavity from a photograph or a scan: scale, straightening, edge, fit, expected error."""
