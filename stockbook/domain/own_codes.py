"""The site's own codes, printed as symbols and readable as they stand: `CASE/C0105`, `ACT/NEXT`."""

KINDS = ("CASE", "LIST", "LOT", "SHELF", "STAFF", "KIT", "ACT")
"""What the first word may say. A shelf is `SHELF/PLACE/ITEM`, a lot the book's own number of it, a
kit the procedure it is for.
"""

ACTS = {
    "OPENED": "opened, not used: the next pack scanned is waste",
    "RETURNED": "unopened, back: the next pack scanned goes back",
    "DROPPED": "dropped: the next pack scanned is waste",
    "UNDO": "take the last scan back",
    "CONVERT": "another procedure: the next kit scanned or named is the case's",
    "CANCEL": "the current case is cancelled",
    "RESCUE": "the rescue kit goes to the current case",
    "NEXT": "the current case is finished",
}
"""The card of theatre codes: each is one symbol, and means the same when typed."""


def own_code(kind: str, *parts: str) -> str:
    """The text of a site's own symbol.

    >>> own_code("SHELF", "OT1", "VISC-COH")
    'SHELF/OT1/VISC-COH'
    """
    return "/".join((kind, *parts))


def own_parts(text: str) -> tuple[str, tuple[str, ...]] | None:
    """What kind of own code a text is, and its parts; none when it is none.

    >>> own_parts("CASE/C0105"), own_parts("19520000101302")
    (('CASE', ('C0105',)), None)
    """
    kind, *parts = text.split("/")
    return (kind, tuple(parts)) if kind in KINDS and parts and all(parts) else None
