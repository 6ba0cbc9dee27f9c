"""Jobpapers."""
