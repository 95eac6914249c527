"""How the site's rules look."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stockbook.domain.answers import Site
from stockbook.domain.site_rules import ShownRule
from stockbook.reports.tables import heading, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet


def settings_page(rules: Sequence[ShownRule], site: Site) -> str:
    """Each rule with its value, what it means and where it counts."""
    rows = [
        (one.name, one.value, "set" if one.is_set else "", one.rule.words, one.rule.used_by)
        for one in rules
    ]
    headers = ("Setting", "Value", "", "Meaning", "Counts in")
    return f"{heading('Rules of this site', site)}\n{table(headers, rows)}"


def settings_sheets(rules: Sequence[ShownRule]) -> "list[DataSheet]":
    """Each rule, one row."""
    from stockbook.reports.data import DataSheet, columns

    rows = [
        (one.name, one.value, "yes" if one.is_set else "no", one.rule.words, one.rule.used_by)
        for one in rules
    ]
    names = columns("setting", "value", "is_set", "meaning", "counts_in")
    return [DataSheet("settings", (), names, tuple(rows))]
