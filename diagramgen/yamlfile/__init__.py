"""YAML with places: nodes, error recovery, field tables."""
