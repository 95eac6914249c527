"""The site's own rules: shown, and changed by a manager."""

from stockbook.domain.entries import Draft, Signature
from stockbook.domain.facts import Setting
from stockbook.domain.site_rules import RULES, ShownRule, SiteRule
from stockbook.errors import InputError, Refused
from stockbook.jobs.book import known_time_zone
from stockbook.jobs.finding import near
from stockbook.jobs.signing import check_person, fresh_request
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import posting
from stockbook.ledger.settings import setting


def site_rules(book: Book) -> list[ShownRule]:
    """Every setting as it stands, in the order of their table."""
    with book.reading() as db:
        shown = [ShownRule(name, setting(db, name), rule) for name, rule in RULES.items()]
    return [one for one in shown if one.value]


def change_setting(
    book: Book, signature: Signature, name: str, text: str, *, keep: bool = True
) -> int:
    """The setting has the value from this entry on; the entry's number."""
    rule = _known(name)
    if rule.check is None:
        raise Refused(f"{name} was fixed when the book was made ({rule.words}).")
    value = rule.check(text)
    if name == "time_zone":
        known_time_zone(value)
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "book")
        if setting(post.db, name) == value:
            raise InputError(f"{name} is {value} already; nothing was recorded.")
        request = fresh_request(post.db, "settings", [name, value])
        return post.post(Draft("facts", signature, request, facts=[Setting(name, value)])).number


def _known(name: str) -> SiteRule:
    if name not in RULES:
        raise InputError(f"setting: {name} is unknown.{near(name, RULES)}")
    return RULES[name]
