"""Electrical rules that a circuit is checked against."""
