"""Lets the tests of every folder import the helpers that stand beside this file."""
