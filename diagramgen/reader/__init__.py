"""The build: one instrument's wiring as described in one file; its model, reader and rules."""
