"""Fault look-up: every single fault simulated in every state, and what was seen held against all of them."""
