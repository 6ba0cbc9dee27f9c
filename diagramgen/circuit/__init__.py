"""What is joined to what, and what follows from it."""
