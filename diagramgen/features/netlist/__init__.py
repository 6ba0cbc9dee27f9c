"""Netlist."""
