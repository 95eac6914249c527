"""How the site's rules look."""

from collections.abc import Sequence

from stockbook.domain.answers import Site
from stockbook.domain.site_rules import ShownRule
from stockbook.reports.tables import heading, table


def settings_page(rules: Sequence[ShownRule], site: Site) -> str:
    """Each rule with its value, what it means and where it counts."""
    rows = [
        (one.name, one.value, "" if one.value == one.rule.default else "set", one.rule.words,
         one.rule.used_by)
        for one in rules
    ]  # fmt: skip
    headers = ("Setting", "Value", "", "Meaning", "Counts in")
    return f"{heading('Rules of this site', site)}\n{table(headers, rows)}"
