"""The command line: one of the faces."""
