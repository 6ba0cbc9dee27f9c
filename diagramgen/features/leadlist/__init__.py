"""Leadlist."""
