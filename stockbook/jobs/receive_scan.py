"""A delivery unpacked by scanner: one scan or word after the other, posted when it is recorded."""

from dataclasses import replace

from stockbook.domain.days import expiry_from_text
from stockbook.domain.entries import Signature
from stockbook.domain.gtin import check_digit
from stockbook.domain.own_codes import own_parts
from stockbook.domain.places import OPENING
from stockbook.domain.receiving import (
    WORDS,
    DeskPage,
    DeskReply,
    OpenPack,
    Unpacking,
    WholeDelivery,
)
from stockbook.domain.scans import read_symbol
from stockbook.errors import InputError, Refused, ScanRefused
from stockbook.jobs.delivery_orders import order_named
from stockbook.jobs.finding import known_place, known_supplier
from stockbook.jobs.receive_answers import accepting, answered, printed, thing_named
from stockbook.jobs.receive_desk import Desk, Wanted
from stockbook.jobs.receive_packs import taken
from stockbook.jobs.receive_record import record_unpacked
from stockbook.jobs.receive_seen import seen
from stockbook.jobs.receive_words import SAID, Step, asked_of, refuse_waiting, settled
from stockbook.jobs.seats import ask_another, own_seat
from stockbook.jobs.signing import check_person
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, natural_key, posting, recorded_under
from stockbook.ledger.unpackings import find_unpacking, keep_unpacking

NO_ORDER = "-"
"""Takes an order that was named before off the delivery again."""

_MOST_TYPED = 3
"""Item, lot and expiry, typed."""


def sit_down(
    book: Book, signature: Signature, supplier: str | None, note: str, said: WholeDelivery, *,
    sure: bool = False,
) -> DeskPage:  # fmt: skip
    """The delivery is this person's to unpack; one that somebody else began is asked about.

    Without a supplier it is opening stock, and the note is its sheet.
    """
    with posting(book) as post:
        check_person(post.db, signature, "receive")
        code = known_supplier(post.db, supplier).code if supplier is not None else OPENING
        found = find_unpacking(post.db, code, note)
        if found is None:
            _refuse_recorded(post, code, note)
        packs, what = (len(found.packs), found.what) if found else (0, "")
        ask_another(found, signature, what, packs, sure=sure)
        before = found or Unpacking(code, note, signature.by, signature.by, signature.recorded_at)
        unpacking = _with_said(post, signature, before, said)
        unpacking = replace(unpacking, by=signature.by, seat=before.seat + 1)
        keep_unpacking(post.db, unpacking, signature.recorded_at)
        return _page(Desk(post.db, signature, unpacking))


def _refuse_recorded(post: Posting, supplier: str, note: str) -> None:
    number = recorded_under(post.db, natural_key(post.db, f"receive/{supplier}/{note}"))
    if number is None:
        return
    look = f"Look with 'stockbook entries {number}'"
    if supplier == OPENING:
        raise Refused(
            f"Sheet {note} of opening stock is recorded already, as entry {number}. {look}; name "
            "another sheet for what is still to be counted."
        )
    raise Refused(
        f"Note {note} of {supplier} is recorded already, as entry {number}. {look}; reverse it to "
        "receive the delivery anew."
    )


def _with_said(
    post: Posting, signature: Signature, before: Unpacking, said: WholeDelivery
) -> Unpacking:
    """What was said now of the delivery as a whole; what was not said stays as it was."""
    named = {name: getattr(said, name) for name in WholeDelivery.__slots__}
    given = {name: value for name, value in named.items() if value is not None}
    if before.is_opening and (not_its := sorted(given.keys() - {"terms", "place"})):
        raise InputError(f"opening stock: it has no {', '.join(not_its)} of its own.")
    if given.get("order") == NO_ORDER:
        given["order"] = None
    elif "order" in given:
        state = order_named(post.db, before.supplier, given["order"], signature.happened_on)
        given["order"] = state.order.code
    if "place" in given:
        kinds = ("store", "theatre", "quarantine")
        given["place"] = known_place(post.db, given["place"], kinds).code
    return replace(before, **given)


def _page(desk: Desk) -> DeskPage:
    rows = [seen(desk, pack) for pack in desk.unpacking.lines()]
    waiting = desk.unpacking.waiting
    return DeskPage(desk.unpacking, rows, asked_of(desk, waiting).words if waiting else None)


def take_line(
    book: Book, signature: Signature, supplier: str, note: str, text: str, *, seat: int,
    separator: str | None = None,
) -> DeskReply:  # fmt: skip
    """One scan, word or answer is understood and kept; `record` posts the delivery.

    What is refused leaves book and sitting as they were. Another terminal that sat down since
    goes on instead.
    """
    text = text.strip("\r\n\t")
    if text.strip().lower() == "leave":
        return DeskReply("Left.", left=True)
    with posting(book) as post:
        unpacking = _own_unpacking(post, signature, supplier, note, seat)
        desk = Desk(post.db, signature, unpacking, separator)
        after, reply = _step(post, desk, text)
        if after != unpacking and reply.received is None:
            keep_unpacking(post.db, after, signature.recorded_at)
        return reply


def _own_unpacking(
    post: Posting, signature: Signature, supplier: str, note: str, seat: int
) -> Unpacking:
    found = find_unpacking(post.db, supplier, note)
    what = "opening stock" if supplier == OPENING else "delivery"
    return own_seat(found, signature, seat, what)


def _step(post: Posting, desk: Desk, text: str) -> Step:
    if own_parts(text) == ("ACT", ("UNDO",)):
        text = "undo"
    word, *more = text.split() or [""]
    if word.lower() in WORDS:
        return _word(post, desk, word.lower(), " ".join(more))
    waiting = desk.unpacking.waiting
    if waiting is not None:
        return _to_question(desk, waiting, text)
    if (own_parts(text) or ("",))[0] == "STAFF":
        return _badge(desk, text)
    return settled(desk, _typed(desk, text) or _scanned(desk, text))


def _word(post: Posting, desk: Desk, word: str, more: str) -> Step:
    if more and word in ("undo", "record", "leave"):
        raise InputError(f"{word}: found {more!r} after it, wanted nothing.")
    if word == "record":
        refuse_waiting(desk)
        received = record_unpacked(post, desk)
        return desk.unpacking, DeskReply(
            received=received, learned=desk.unpacking.learned, left=True
        )
    return SAID[word](desk, more)


def _to_question(desk: Desk, waiting: OpenPack, text: str) -> Step:
    """An answer, or another symbol of the pack that waits."""
    asked = asked_of(desk, waiting)
    if text in waiting.raws:
        return desk.unpacking, DeskReply(f"The same symbol again. {asked.words}")
    pack = answered(desk, waiting, asked, text)
    if pack is None:
        return settled(desk, _with_symbol(desk, waiting, text, asked))
    if asked.name == "gift":
        code = accepting(desk, text)
        other = desk.unpacking.accepted_by if code == desk.signature.by else code
        desk = replace(desk, unpacking=replace(desk.unpacking, accepted_by=other))
    return settled(desk, pack)


def _with_symbol(desk: Desk, waiting: OpenPack, text: str, asked: Wanted) -> OpenPack:
    """The pack with its other symbol; one of another pack is refused, and this one goes on."""
    read = _scanned(desk, text)
    pack = replace(
        waiting,
        symbols=(*waiting.symbols, *read.symbols),
        raws=(*waiting.raws, *read.raws),
        lost=read.lost,
    )
    try:
        taken(desk, pack)
    except ScanRefused as refused:
        raise InputError(
            f"{refused.message} The pack before still waits: {asked.words} Or undo it."
        ) from None
    except (Wanted, Refused):
        pass
    return pack


def _typed(desk: Desk, text: str) -> OpenPack | None:
    """ITEM LOT EXPIRY, typed; the serial in place of the lot where the item is kept by serial."""
    words = text.split()
    code = thing_named(desk, words[0]) if words else None
    if code is None:
        return None
    if len(words) > _MOST_TYPED:
        raise InputError(f"{text!r}: wanted ITEM LOT EXPIRY.")
    pack = OpenPack(item=code)
    if len(words) > 1:
        pack = printed(pack, "lot", words[1])
        pack = replace(pack, serial=pack.lot)
    if len(words) > 2:
        day, precision = expiry_from_text(words[2])
        pack = replace(pack, expiry=day, precision=precision)
    return pack


def _scanned(desk: Desk, text: str) -> OpenPack:
    """A symbol of a pack; where its separator is lost the product alone is taken from it."""
    try:
        scan = read_symbol(text, desk.signature.today, desk.separator)
    except ScanRefused as refused:
        product = _product_of(text)
        if refused.name != "GS_MISSING_OR_LOT_TOO_LONG" or product is None:
            raise
        return OpenPack((f"(01){product}",), (text,), refused.message)
    if scan.scheme == "own":
        raise InputError(f"{text}: a code of this site, and no pack. Scan what is on the pack.")
    return OpenPack((text,), (text,))


def _product_of(text: str) -> str | None:
    """The trade item number that an element string begins with."""
    string = text[3:] if text.startswith("]") else text
    number = string[2:16]
    right = len(number) == 14 and number.isdigit() and check_digit(number[:-1]) == number[-1]
    return number if string.startswith("01") and right else None


def _badge(desk: Desk, text: str) -> Step:
    code = accepting(desk, text)
    if code != desk.signature.by:
        raise Refused(f"{desk.signature.by} sits here. LEAVE first, then {code} signs in.")
    return desk.unpacking, DeskReply(f"{code} is signed in.")
