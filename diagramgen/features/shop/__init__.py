"""Shop."""
