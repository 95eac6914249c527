"""Every row of the tables in `shared/`, run by topic."""
