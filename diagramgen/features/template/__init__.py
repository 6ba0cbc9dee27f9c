"""Template."""
