"""Full-size wiring diagrams and lead lists for the electric-guitar technician, from one build file."""

__version__ = "0.1.0"
