"""Puts lines into a build file; every other byte stays."""
