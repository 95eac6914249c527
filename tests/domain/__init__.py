"""Tests of the pure rules: no book, no file, no clock."""
