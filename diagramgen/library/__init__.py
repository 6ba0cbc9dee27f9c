"""Symbols: what a kind of part is. Data files read into a model; lug positions computed from geometry."""
