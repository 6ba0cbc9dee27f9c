"""Diagrams."""
