"""What may be typed: clean text, codes, and nothing that hides or breaks a line."""

import re
import unicodedata

from stockbook.errors import InputError

MAX_TEXT = 200
_HIDING = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
_JOINERS = "\u200c\u200d"
_ITEM_CODE = r"[A-Z0-9][A-Z0-9+.-]{0,39}"
_CODE = r"[A-Z0-9][A-Z0-9.-]{0,31}"
_WORD = r"[a-z][a-z0-9-]{0,23}"


def clean_text(text: str, what: str, limit: int = MAX_TEXT, *, joiners: bool = False) -> str:
    """The text in NFC without outer blanks; control, direction and broken characters refused.

    `joiners` lets through the two marks that names in some scripts are written with.

    >>> clean_text(" Cafe\\u0301 ", "name")
    'Café'
    """
    for place, character in enumerate(text, start=1):
        if joiners and character in _JOINERS:
            continue
        if unicodedata.category(character) in _HIDING:
            raise InputError(
                f"{what}: character {place} is U+{ord(character):04X}, "
                "a control or hidden character. Type it again without."
            )
    clean = unicodedata.normalize("NFC", text).strip()
    if len(clean) > limit:
        raise InputError(f"{what}: {len(clean)} characters, wanted at most {limit}.")
    return clean


def required_text(text: str, what: str, limit: int = MAX_TEXT) -> str:
    """Clean text that is not empty."""
    return _not_empty(clean_text(text, what, limit), what)


def name(text: str, what: str = "name") -> str:
    """What something or somebody is called, in any script; not empty."""
    return _not_empty(clean_text(text, what, joiners=True), what)


def _not_empty(clean: str, what: str) -> str:
    if not clean:
        raise InputError(f"{what}: found nothing, wanted text.")
    return clean


def _matched(pattern: str, text: str, what: str, wanted: str) -> str:
    if re.fullmatch(pattern, text) is None:
        raise InputError(f"{what}: found {text!r}, wanted {wanted}.")
    return text


def _upper(text: str) -> str:
    """Capitals, for plain letters alone: others would turn into letters nobody typed."""
    return text.upper() if text.isascii() else text


def item_code(text: str, what: str = "item") -> str:
    """An item's code: capitals, figures, `+ . -`, at most 40.

    >>> item_code("luma1+21.50")
    'LUMA1+21.50'
    """
    clean = _upper(clean_text(text, what))
    return _matched(_ITEM_CODE, clean, what, "capitals, figures and + . - (at most 40)")


def code(text: str, what: str) -> str:
    """A code of a place, case, list, supplier, procedure, surgeon or person."""
    clean = _upper(clean_text(text, what))
    return _matched(_CODE, clean, what, "a code of capitals, figures, . and - (at most 32)")


def word(text: str, what: str) -> str:
    """A lower-case word: a category, a class, a requirement."""
    clean = clean_text(text, what).lower()
    return _matched(_WORD, clean, what, "one lower-case word (letters, figures, hyphen)")


def one_of(text: str, choices: tuple[str, ...], what: str) -> str:
    """One of a fixed set of words."""
    clean = clean_text(text, what).lower()
    if clean not in choices:
        raise InputError(f"{what}: found {text!r}, wanted one of: {', '.join(choices)}.")
    return clean


def yes_or_no(text: str, what: str) -> bool:
    """True for yes; nothing is no."""
    return one_of(text or "no", ("yes", "no"), what) == "yes"


def pattern(text: str) -> str:
    """A regular expression that a patient's reference has to match."""
    clean = required_text(text, "reference pattern")
    try:
        re.compile(clean)
    except (re.error, OverflowError, RecursionError) as error:
        raise InputError(f"reference pattern: {clean!r} is not a pattern ({error}).") from None
    return clean
