"""Playerpage."""
