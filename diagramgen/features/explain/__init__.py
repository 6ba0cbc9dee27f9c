"""Explain."""
