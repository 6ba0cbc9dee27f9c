"""One folder a feature: compute, sheet, export and command together."""
