"""The site's own rules: shown, and changed by a manager."""

import sqlite3

from stockbook.domain.entries import Draft, Signature
from stockbook.domain.facts import Setting
from stockbook.domain.site_rules import RULES, ShownRule
from stockbook.errors import InputError, Refused
from stockbook.jobs.book import known_time_zone
from stockbook.jobs.finding import near
from stockbook.jobs.overhead import check_no_rate, holds_already, rate_typed
from stockbook.jobs.signing import check_person, fresh_request
from stockbook.ledger.opening import Book
from stockbook.ledger.overhead import SETTING as OVERHEAD
from stockbook.ledger.posting import posting
from stockbook.ledger.settings import has_value, setting


def site_rules(book: Book, name: str | None = None) -> list[ShownRule]:
    """Every setting as it stands (or the one named), in the order of their table."""
    wanted = RULES if name is None else [_known(name)]
    with book.reading() as db:
        shown = [ShownRule(one, setting(db, one), RULES[one]) for one in wanted]
    return [one for one in shown if one.value or name]


def change_setting(
    book: Book, signature: Signature, name: str, text: str, *, keep: bool = True
) -> int | None:
    """The setting has the value from this entry on; the entry's number, none if it had it."""
    code = _known(name)
    value = _new_value(code, text)
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, RULES[code].set_by)
        before = setting(post.db, code)
        if code == OVERHEAD:
            value = rate_typed(post.db, text)
        if before == value and (code != OVERHEAD or holds_already(post.db, signature, value)):
            return None
        _check_currency(post.db, code, before)
        request = fresh_request(post.db, "settings", [code, value])
        return post.post(Draft("facts", signature, request, facts=[Setting(code, value)])).number


def _known(name: str) -> str:
    code = name.strip().lower().replace("-", "_")
    if code not in RULES:
        raise InputError(
            f"setting: {name} is unknown.{near(code, RULES)} 'stockbook book settings' shows all."
        )
    return code


def _new_value(code: str, text: str) -> str:
    rule = RULES[code]
    if rule.check is None:
        raise Refused(f"{code} was fixed when the book was made ({rule.words}).")
    value = rule.check(text)
    return known_time_zone(value) if code == "time_zone" else value


def _check_currency(db: sqlite3.Connection, code: str, before: str) -> None:
    """Amounts are kept in minor units of the currency they came in."""
    if code == "currency" and has_value(db):
        raise Refused(
            f"currency stays {before}: the book holds amounts in it. Another currency needs a "
            "book of its own."
        )
    if code == "currency":
        check_no_rate(db, before)
