"""The command line itself and the commands that belong to no feature."""
