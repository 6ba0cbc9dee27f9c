"""Printed sheets: frames, tables and page breaks; one file a printed sheet."""
