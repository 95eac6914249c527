"""The command line: one file per command; the clock and the terminal live here alone."""
