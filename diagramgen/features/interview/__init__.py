"""Interview."""
