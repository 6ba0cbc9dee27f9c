"""Cover."""
