"""What a problem code means: the command, and the page of all codes."""
