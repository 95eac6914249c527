"""The site's own codes as symbols to scan; plain text where the extra `print` is missing."""

from functools import cache

from stockbook.reports.html import Safe, el, joined

WITHOUT = (
    "Codes are printed as text alone: the symbols need the extra 'print' "
    "(pip install 'stockbook[print]'). Typed in, they mean the same."
)


def can_draw() -> bool:
    """Whether symbols can be drawn here."""
    from importlib.util import find_spec

    return find_spec("segno") is not None


def symbol(code: str) -> Safe:
    """A code as a symbol with its text below; the text alone where no symbol can be drawn."""
    words = el("span", code, css="code")
    picture = _picture(code) if can_draw() else None
    if picture is None:
        return words
    image = el("img", src=picture, alt=code, css="symbol")
    return el("span", joined(image, words), css="own")


@cache
def _picture(code: str) -> str:
    """A QR code with its quiet zone, as an image inside the page."""
    import segno

    return str(segno.make(code, error="m", micro=False).png_data_uri(scale=4, border=4))
