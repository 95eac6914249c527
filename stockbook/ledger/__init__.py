"""The book: one SQLite file; all SQL lives here."""
