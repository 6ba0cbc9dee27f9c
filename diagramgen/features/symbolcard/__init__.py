"""Symbolcard."""
