"""Files: CSV read into rows with their row numbers; no rules."""
