"""The rules a site sets for itself: what each is, what holds until it is set, where it counts."""

from collections.abc import Callable
from dataclasses import dataclass

from stockbook.domain import texts
from stockbook.domain.amounts import quantity_text, whole_from_text
from stockbook.domain.list_shares import BY_CASES, KEYS
from stockbook.domain.money import currency
from stockbook.domain.overhead import FINEST, rate_from_text, rate_text
from stockbook.domain.service_levels import service_from_text
from stockbook.errors import InputError


@dataclass(frozen=True, slots=True)
class SiteRule:
    """One setting: its value until it is set, what it may be, and where it shapes a number."""

    default: str
    words: str
    used_by: str
    check: Callable[[str], str] | None
    """What a new value has to be; none where it is fixed when the book is made."""
    set_by: str = "book"
    """The command whose roles may set it (`roles.MAY_RECORD`)."""


@dataclass(frozen=True, slots=True)
class ShownRule:
    """A setting as it stands."""

    name: str
    value: str
    rule: SiteRule

    @property
    def is_set(self) -> bool:
        """Whether the site has another value than what holds by default."""
        return self.value != self.rule.default


def _days(text: str) -> str:
    days = whole_from_text(text, 0, "days")
    if not 1 <= days <= 3660:
        raise InputError(f"days: found {text!r}, wanted 1 to 3660.")
    return str(days)


def hundredths_of_a_day(text: str) -> int:
    """How long a month is taken to be, exactly: whole hundredths of a day.

    >>> hundredths_of_a_day("30.4")
    3040
    """
    hundredths = whole_from_text(text, 2, "days_per_month")
    if not 2800 <= hundredths <= 3100:
        raise InputError(f"days_per_month: found {text!r}, wanted 28 to 31 days.")
    return hundredths


def _days_per_month(text: str) -> str:
    return quantity_text(hundredths_of_a_day(text), 2)


def power_mean(text: str) -> int:
    """The middle of the published shape of lens powers, in hundredths of a dioptre.

    >>> power_mean("21.2")
    2120
    """
    return _dioptres(text, "lens_power_mean", 1000, 3000)


def power_deviation(text: str) -> int:
    """The standard deviation of the published shape, in hundredths of a dioptre.

    >>> power_deviation("2.5")
    250
    """
    return _dioptres(text, "lens_power_sd", 50, 1000)


def _dioptres(text: str, name: str, least: int, most: int) -> int:
    hundredths = whole_from_text(text, 2, name)
    if not least <= hundredths <= most:
        wanted = f"{quantity_text(least, 2)} to {quantity_text(most, 2)} dioptres"
        raise InputError(f"{name}: found {text!r}, wanted {wanted}.")
    return hundredths


def _power_mean(text: str) -> str:
    return quantity_text(power_mean(text), 2)


def _power_deviation(text: str) -> str:
    return quantity_text(power_deviation(text), 2)


def _currency(text: str) -> str:
    return currency(text).code


def _site(text: str) -> str:
    return texts.name(text, "site")


def _zone(text: str) -> str:
    return texts.required_text(text, "time zone")


NET_REALISABLE, REPLACEMENT = "net-realisable", "replacement"


def _value_test(text: str) -> str:
    return texts.one_of(text, (NET_REALISABLE, REPLACEMENT), "value test")


def classes_from_text(text: str) -> tuple[str, ...]:
    """Item classes, set apart by commas.

    >>> classes_from_text("lens,  tubing")
    ('lens', 'tubing')
    """
    names = (texts.name(part, "class") for part in text.split(","))
    return tuple(sorted(set(names)))


def _classes(text: str) -> str:
    return ", ".join(classes_from_text(text))


PAPERS = ("a4", "letter")


def paper_from_text(text: str) -> str:
    """A size of paper that pages are printed on.

    >>> paper_from_text("Letter")
    'letter'
    """
    return texts.one_of(text, PAPERS, "paper")


def _service(text: str) -> str:
    return service_from_text(text).text


def _overhead(text: str) -> str:
    """Whether it is a rate at all; how fine its amount may be, the book's currency says."""
    return rate_text(rate_from_text(text, FINEST), FINEST)


def _yes_or_no(text: str) -> str:
    return texts.one_of(text, ("yes", "no"), "service by cost")


def _share_key(text: str) -> str:
    return texts.one_of(text, KEYS, "list share")


RULES: dict[str, SiteRule] = {
    "site": SiteRule("", "the site's name", "headings", _site),
    "currency": SiteRule("", "ISO 4217 code of all money", "every value", _currency),
    "time_zone": SiteRule("UTC", "where the site's day begins", "today", _zone),
    "reference_pattern": SiteRule(
        "[A-Z0-9-]{1,20}", "what a patient's reference looks like", "import lists", texts.pattern
    ),
    "short_dated_days": SiteRule(
        "180", "a shorter life than this needs a reason when it is received", "receive", _days
    ),
    # WHO, guidelines for medicine donations (2010): at least one year of life when they arrive.
    "gift_least_days": SiteRule(
        "365", "a gift of a shorter life is accepted in a person's name", "receive", _days
    ),
    "expiring_days": SiteRule("90", "how far ahead expiring looks", "expiring", _days),
    "recent_use_days": SiteRule(
        "90", "how many days of use say what will be left over at expiry", "expiring", _days
    ),
    # Handbooks disagree: 30.4 (WHO/CDS, guide to fixed-dose combinations, 2002, annex 5) or 30.5.
    "days_per_month": SiteRule(
        "30.4", "how many days of use make the use of a month", "expiring", _days_per_month
    ),
    "review_days": SiteRule("7", "how often orders are looked at", "forecast", _days),
    "lead_days": SiteRule("14", "lead time of a supplier that quotes none", "forecast", _days),
    "service_level": SiteRule(
        "cycle 95",
        "how often an order is enough, where an item says nothing else",
        "forecast, order propose",
        _service,
    ),
    "service_by_cost": SiteRule(
        "no",
        "whether dear items may run short oftener and cheap ones less often",
        "order propose",
        _yes_or_no,
    ),
    "list_share": SiteRule(
        BY_CASES, "how what a list used in common is shared over its cases", "cost", _share_key
    ),
    "overhead": SiteRule(
        "none",
        "what a case bears of the theatre: none, 'case AMOUNT' or 'minute AMOUNT'",
        "cost",
        _overhead,
        set_by="overhead",
    ),
    "main_supplies": SiteRule(
        "cassette, lens, pack, viscoelastic",
        "classes that are lens, viscoelastic, tubing and pack, beside a published share",
        "cost",
        _classes,
    ),
    # IAS 2 paragraph 9; IPSAS 12 paragraph 17 (from memory) for goods given free or nearly so.
    "value_test": SiteRule(
        NET_REALISABLE,
        "what stock is compared with: net-realisable, or replacement for goods given free",
        "valuation",
        _value_test,
    ),
    # Published histograms of implanted powers: about 21.2 in the middle, 2.5 around it.
    "lens_power_mean": SiteRule(
        "21.2", "the middle of the powers patients need, until cases say", "lens bank", _power_mean
    ),
    "lens_power_sd": SiteRule(
        "2.5", "how far around it they lie (standard deviation)", "lens bank", _power_deviation
    ),
    "paper": SiteRule("a4", "the size of paper: a4 or letter", "pages to print", paper_from_text),
    "demonstration": SiteRule("no", "everything is invented", "headings", None),
    "today": SiteRule("", "a demonstration's own day", "a demonstration", None),
}
