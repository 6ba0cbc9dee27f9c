"""Testpage."""
