"""Repair."""
