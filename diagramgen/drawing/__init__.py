"""The drawing: display list, styles by meaning, and what is composed from layouts."""
