"""Stockbook: a double-entry stock ledger for theatre consumables and sterile supplies."""

__version__ = "0.1.0"
