"""Why a scan is refused: a name for programs, words for the person with the scanner."""

from stockbook.errors import ScanRefused

WORDS = {
    "EMPTY": "nothing was read. Scan again.",
    "TOO_LONG": "more than {most} characters: this is no scan. Look at what is sent.",
    "NOT_UTF_8": "bytes that are no text. Set the scanner to send plain characters.",
    "UNKNOWN_SYMBOLOGY": "the symbology identifier {id} is none that is read here{caps}.",
    "NOT_GS1": "neither a GS1 nor a HIBC symbol, and no code of this site{caps}.",
    "UNKNOWN_AI": "no GS1 application identifier where one has to be{found}. Scan again.",
    "EMPTY_VALUE": "nothing stands after ({ai}). Scan again.",
    "BAD_LENGTH": "({ai}) has too few or too many characters: {found}. Scan again.",
    "NON_NUMERIC": "({ai}) must be figures: {found}. Scan again.",
    "BAD_CSET": "a character that the standard does not allow{found}. Look at the scanner's "
    "keyboard layout and caps lock.",
    "BAD_CHECK_DIGIT": "the check digit should be {expected_digit}. Scan again.",
    "BAD_CHECK_CHARACTER": "the check character should be {expected!r}. Scan again.",
    "BAD_DATE": "a date that the calendar does not have{found}. Read the printed date.",
    "BAD_TIME": "a time that the day does not have{found}. Read the printed date.",
    "BAD_PIECE": "(8006) must say which piece of how many: {found}. Scan again.",
    "AI_REPEATED_DIFFERENT": "({ai}) stands twice with different values. Read the pack.",
    "AI_EXCLUDED": "({pair[0]}) and ({pair[1]}) never stand together. Read the pack.",
    "AI_REQUIRES": "({ai}) needs {needs}. Scan the pack's other symbol with it.",
    "GS_MISSING_OR_LOT_TOO_LONG": "two readings, because the separator is lost: likely {split}. "
    "Type the printed lot and expiry, and let the scanner send the separator (GS).",
    "OLD_SECONDARY_DATA": "(22) is longer than 20: old secondary data of the health industry. "
    "Type the printed lot and expiry.",
    "BAD_DL_URI": "a link that names no product by the GS1 standard. Links are never followed.",
    "CODE_39_FULL_ASCII": "a HIBC symbol read as full ASCII. Set the scanner's Code 39 to "
    "standard, and scan again.",
    "HIBC_NOT_A_PRODUCT": "a HIBC symbol of something else than a product. Scan the other symbol.",
    "HIBC_BAD_PRODUCT": "the HIBC labeller or product number has no right form{found}.",
    "HIBC_UOM_NOT_DIGIT": "the HIBC unit of measure must be a figure: {found}.",
    "HIBC_BAD_DATA": "HIBC data that the standard does not have: {found}. Type the printed lot "
    "and expiry.",
    "HIBC_LINK_MISMATCH": "these two HIBC symbols are of different products: link {link!r}, check "
    "character {check!r}. Scan both symbols of one pack.",
    "SYMBOLS_DISAGREE": "the symbols of one pack differ in {field}: {values}. Read the pack.",
    "OWN_CODE_UNKNOWN": "this site's codes have no such form: {found}. Print the symbol again.",
}  # fmt: skip
"""Every reason; what stands in braces is given with the refusal."""

_SHOWN = ("found", "caps", "split", "id", "most", "values", "field")
"""Parts of the words that are no field of the answer."""


def refusal(name: str, **parts: object) -> ScanRefused:
    """The refusal of a name, its words filled in.

    >>> refusal("BAD_CHECK_DIGIT", expected_digit="5").message
    'the check digit should be 5. Scan again.'
    """
    words = WORDS[name].format_map({"found": "", "caps": "", **parts})
    fields = {key: value for key, value in parts.items() if key not in _SHOWN}
    return ScanRefused(name, words, fields)


def shown(text: str) -> str:
    """A piece of a scan for a message: short, and nothing in it that a terminal would obey."""
    return ascii(text if len(text) <= _MOST_SHOWN else text[: _MOST_SHOWN - 1] + "~")


_MOST_SHOWN = 40
