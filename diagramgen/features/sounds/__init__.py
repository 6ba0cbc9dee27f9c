"""Sounds."""
