"""GS1 Digital Link: a web address that holds elements. It is read as text, never fetched."""

import re

from stockbook.domain.scan_ais import AI_LENGTHS, check_value, spec_of
from stockbook.domain.scan_facts import Element
from stockbook.domain.scan_refusals import refusal

_SCHEMES = ("https://", "http://", "HTTPS://", "HTTP://")
_QUALIFIERS = {
    "00": (),
    "01": ("22", "10", "21", "235"),
    "253": (), "255": (), "401": (), "402": (),
    "414": ("254", "7040"),
    "417": ("7040",),
    "8003": (), "8004": (),
    "8006": ("22", "10", "21"),
    "8010": ("8011",),
    "8013": (),
    "8017": ("8019",),
    "8018": ("8019",),
}  # fmt: skip
"""What may follow each primary key in the path, in this order."""

_ESCAPE = re.compile(r"%([0-9A-Fa-f]{2})")


def is_link(text: str) -> bool:
    """Whether a scan is a web address of any kind."""
    return text[:8].lower().startswith(("https://", "http://"))


def link_elements(text: str, as_of: str) -> list[Element]:
    """The elements of a link: key and qualifiers from the path, the rest from the query.

    >>> link_elements("https://id.gs1.org/01/09520123456788?17=180426", "2026-11-24")
    [('01', '09520123456788'), ('17', '180426')]
    """
    if not text.startswith(_SCHEMES):
        raise refusal("BAD_DL_URI")
    address, _, _ = text.partition("#")
    path, _, query = address.partition("?")
    host, *segments = path.partition("://")[2].split("/")
    if not host:
        raise refusal("BAD_DL_URI")
    found = [*_path_elements(segments), *_query_elements(query)]
    for ai, value in found:
        check_value(ai, value, spec_of(ai), as_of)
    return found


def _path_elements(segments: list[str]) -> list[Element]:
    """The last primary key of the path and what follows it; all of it in pairs."""
    for at in range(len(segments) - 2, -1, -2):
        key = segments[at]
        if key in _QUALIFIERS:
            pairs = list(zip(segments[at::2], segments[at + 1 :: 2], strict=True))
            _check_qualifiers(key, [ai for ai, _ in pairs[1:]])
            return [(ai, _unescaped(value)) for ai, value in pairs]
    raise refusal("BAD_DL_URI")


def _check_qualifiers(key: str, following: list[str]) -> None:
    """The qualifiers belong to their key, each once and in order."""
    order = _QUALIFIERS[key]
    places = [order.index(ai) if ai in order else -1 for ai in following]
    if -1 in places or places != sorted(set(places)):
        raise refusal("BAD_DL_URI")


def _query_elements(query: str) -> list[Element]:
    """The elements of a query; what is named by no number is not for us."""
    found = []
    for part in query.replace(";", "&").split("&") if query else []:
        ai, _, value = part.partition("=")
        if not ai.isdigit():
            continue
        if AI_LENGTHS.get(ai[:2]) != len(ai):
            raise refusal("UNKNOWN_AI", found=f": {ai[:8]}")
        found.append((ai, _unescaped(value.replace("+", " "))))
    return found


def _unescaped(value: str) -> str:
    """The value with its %-escapes read; an empty one or a broken escape is refused."""
    clean = _ESCAPE.sub(lambda m: chr(int(m[1], 16)), value) if "%" in value else value
    if not value or value.count("%") != len(_ESCAPE.findall(value)):
        raise refusal("BAD_DL_URI")
    return clean
