"""Diagnostics, units, geometry, colours: what knows nothing of guitars."""
