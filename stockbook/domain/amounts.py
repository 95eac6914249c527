"""Quantities and values are whole numbers: the finest step of a unit, the minor unit of money."""

import re
from collections.abc import Iterable, Mapping, Sequence

from stockbook.errors import InputError

LIMIT = 2**53
"""Every quantity and value stays below this, so that any spreadsheet reads it exactly."""

_NUMBER = r"([+-]?)([0-9]{1,60})(?:\.([0-9]{1,60}))?"


def whole_from_text(text: str, places: int, what: str) -> int:
    """A decimal number as a whole number of its finest step.

    `places` is how many decimals are allowed; `what` names the figure in the message.

    >>> whole_from_text("12.5", 2, "price")
    1250
    """
    match = re.fullmatch(_NUMBER, text.strip())
    if match is None or not text.isascii():
        raise InputError(f"{what}: found {text!r}, wanted a plain number such as 12 or 12.5.")
    sign, whole, fraction = match[1], match[2], (match[3] or "").rstrip("0")
    if len(fraction) > places:
        finest = "a whole number" if places == 0 else f"at most {places} decimals"
        raise InputError(f"{what}: found {text!r}, wanted {finest}; this is too fine.")
    amount = int(whole + fraction.ljust(places, "0"))
    if amount >= LIMIT:
        raise InputError(f"{what}: found {text!r}, wanted less; this is too large to be real.")
    return -amount if sign == "-" else amount


def quantity_from_text(text: str, places: int, what: str = "quantity") -> int:
    """A quantity above zero, in finest steps of its unit.

    >>> quantity_from_text("2.5", 1)
    25
    """
    amount = whole_from_text(text, places, what)
    if amount <= 0:
        raise InputError(f"{what}: found {text!r}, wanted a number above zero.")
    return amount


def text_from_whole(amount: int, places: int) -> str:
    """A whole number of finest steps as a decimal number with all its places.

    >>> text_from_whole(-5, 2)
    '-0.05'
    """
    sign = "-" if amount < 0 else ""
    digits = str(abs(amount)).rjust(places + 1, "0")
    if places == 0:
        return sign + digits
    return f"{sign}{digits[:-places]}.{digits[-places:]}"


def quantity_text(amount: int, places: int) -> str:
    """A quantity for people: no decimals that say nothing.

    >>> quantity_text(25, 1), quantity_text(30, 1)
    ('2.5', '3')
    """
    text = text_from_whole(amount, places)
    return text.rstrip("0").rstrip(".") if places else text


def half_even(numerator: int, denominator: int) -> int:
    """The quotient rounded to the nearest whole number, a half to the even one.

    >>> [half_even(n, 2) for n in (1, 3, 5)]
    [0, 2, 2]
    """
    quotient, rest = divmod(numerator, denominator)
    doubled = 2 * rest
    if doubled > denominator or (doubled == denominator and quotient % 2):
        return quotient + 1
    return quotient


def value_of_part(value: int, quantity: int, part: int) -> int:
    """What leaves with `part` of `quantity` units worth `value` (rule 4); the last takes the rest.

    >>> value_of_part(100, 3, 1), value_of_part(67, 2, 1), value_of_part(33, 1, 1)
    (33, 34, 33)
    """
    if part == quantity:
        return value
    return half_even(value * part, quantity)


def spread(amount: int, weights: Sequence[int]) -> list[int]:
    """`amount` shared in proportion to `weights`, exactly: each takes its part of what is left.

    A weight of nothing takes nothing; all weights zero is an error of the caller.

    >>> spread(100, [1, 1, 1])
    [33, 34, 33]
    """
    shares = []
    left = sum(weights)
    for weight in weights:
        share = value_of_part(amount, left, weight) if weight else 0
        shares.append(share)
        amount, left = amount - share, left - weight
    return shares


def plural(count: int, word: str) -> str:
    """A count with its noun.

    >>> plural(1, "case"), plural(2, "case"), plural(2, "lens")
    ('1 case', '2 cases', '2 lenses')
    """
    if count == 1:
        return f"1 {word}"
    if word.endswith("s"):
        return f"{count} {word}es"
    return f"{count} {word[:-1]}ies" if word.endswith("ry") else f"{count} {word}s"


def sums_of(parts: Iterable[Mapping[str, int]]) -> dict[str, int]:
    """All parts together, name by name.

    >>> sums_of([{"a": 1}, {"a": 2, "b": 3}])
    {'a': 3, 'b': 3}
    """
    found: dict[str, int] = {}
    for part in parts:
        for name, value in part.items():
            found[name] = found.get(name, 0) + value
    return found
