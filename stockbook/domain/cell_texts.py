"""Text that a spreadsheet would run: made safe when written, the same again when read.

The triggers are those of OWASP's page on CSV injection (equals, plus, minus, at, tab, carriage
return) with their full-width forms.
"""

TRIGGERS = "=+-@\t\r\uff1d\uff0b\uff0d\uff20"
QUOTE = "'"


def quoted(text: str) -> str:
    """The text with a quote before it where a spreadsheet would take it for a formula.

    >>> quoted("=1+1"), quoted("plain"), quoted("'=1")
    ("'=1+1", 'plain', "''=1")
    """
    bare = text.lstrip(QUOTE)
    return QUOTE + text if bare[:1] and bare[0] in TRIGGERS else text


def unquoted(text: str) -> str:
    """The text that was quoted; any other text as it is.

    >>> unquoted(quoted("@SUM(A1)")), unquoted("'tis")
    ('@SUM(A1)', "'tis")
    """
    bare = text.lstrip(QUOTE)
    return text[1:] if bare != text and bare[:1] and bare[0] in TRIGGERS else text
