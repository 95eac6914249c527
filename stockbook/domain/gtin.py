"""GS1 trade item numbers: check digits and the 14-figure form the book keeps."""

from stockbook.errors import InputError

_ZERO = ord("0")


def check_digit(figures: str) -> str:
    """The check digit of the figures before it (GS1 General Specifications, 7.9).

    Weights 3, 1, 3, … from the right.

    >>> check_digit("629104150021")
    '3'
    """
    count = len(figures)
    codes = figures.encode()[::-1]
    total = 3 * sum(codes[::2]) + sum(codes[1::2]) - _ZERO * (2 * count + count % 2)
    return str(-total % 10)


def gtin14(text: str) -> str:
    """A GTIN of 8, 12, 13 or 14 figures with a right check digit, as 14 figures.

    >>> gtin14("1234567890128")
    '01234567890128'
    """
    if not (text.isascii() and text.isdigit() and len(text) in (8, 12, 13, 14)):
        raise InputError(f"identifier: found {text!r}, wanted a GTIN of 8, 12, 13 or 14 figures.")
    wanted = check_digit(text[:-1])
    if text[-1] != wanted:
        raise InputError(
            f"identifier: the check digit of {text} should be {wanted}; read the pack again."
        )
    return text.rjust(14, "0")


def is_gtin_like(text: str) -> bool:
    """Whether a text of figures can only be meant as a GTIN."""
    return text.isascii() and text.isdigit() and len(text) in (8, 12, 13, 14)
