"""A move by scanner: one pack after the other, posted as one entry when it is recorded."""

from dataclasses import replace

from stockbook.domain.carrying import (
    Carried,
    CarriedLine,
    CarriedPack,
    Carrying,
    CarryPage,
    CarryReply,
)
from stockbook.domain.entries import Draft, Movement, Signature
from stockbook.domain.facts import Place
from stockbook.domain.own_codes import own_parts
from stockbook.domain.places import SITE_KINDS
from stockbook.errors import InputError, Refused
from stockbook.jobs.finding import known_place
from stockbook.jobs.move_packs import all_draws, check_twice, drawn, pack_read, so_many
from stockbook.jobs.seats import ask_another, own_seat
from stockbook.jobs.signing import check_person, fresh_request, known_staff
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import Posting, posting
from stockbook.ledger.unpackings import end_carrying, find_carrying, keep_carrying

WORDS = ("undo", "qty", "record", "leave")
"""What is typed besides scans."""

Step = tuple[Carrying, CarryReply]


def sit_down(
    book: Book, signature: Signature, from_text: str, to_text: str, *, sure: bool = False
) -> CarryPage:
    """The move is this person's to scan; one that somebody else began is asked about."""
    with posting(book) as post:
        check_person(post.db, signature, "move")
        source = known_place(post.db, from_text, SITE_KINDS).code
        target = known_place(post.db, to_text, SITE_KINDS)
        if source == target.code:
            raise InputError(f"move: from and to are both {source}.")
        found = find_carrying(post.db, source, target.code)
        ask_another(found, signature, "move", len(found.packs) if found else 0, sure=sure)
        by, now = signature.by, signature.recorded_at
        before = found or Carrying(source, target.code, by, by, now)
        carrying = replace(before, by=by, seat=before.seat + 1)
        keep_carrying(post.db, carrying, now)
        return _page(post, signature, carrying, target)


def _page(post: Posting, signature: Signature, carrying: Carrying, target: Place) -> CarryPage:
    """Every line that can go, and in words what stands in the way of the others."""
    lines: list[CarriedLine] = []
    gone: list[str] = []
    for item in dict.fromkeys(pack.item for pack in carrying.packs):
        try:
            lines += drawn(post.db, signature, carrying, target, item).values()
        except (InputError, Refused) as error:
            gone.append(error.message)
    return CarryPage(carrying, lines, gone)


def take_line(
    book: Book, signature: Signature, from_place: str, to_place: str, text: str, *, seat: int,
    separator: str | None = None,
) -> CarryReply:  # fmt: skip
    """One scan or word is understood and kept; `record` posts the move.

    What is refused leaves book and sitting as they were.
    """
    text = text.strip("\r\n\t")
    if text.strip().lower() == "leave":
        return CarryReply("Left.", left=True)
    with posting(book) as post:
        found = find_carrying(post.db, from_place, to_place)
        carrying = own_seat(found, signature, seat, "move")
        after, reply = _step(post, signature, carrying, text, separator)
        if after != carrying and reply.carried is None:
            keep_carrying(post.db, after, signature.recorded_at)
        return reply


def _step(
    post: Posting, signature: Signature, carrying: Carrying, text: str, separator: str | None
) -> Step:
    parts = own_parts(text)
    word, *more = ["undo"] if parts == ("ACT", ("UNDO",)) else text.split() or [""]
    if word.lower() in WORDS:
        return _word(post, signature, carrying, word.lower(), " ".join(more))
    if parts is not None and parts[0] == "STAFF":
        return carrying, _badge(post, signature, parts[1][0])
    pack = pack_read(post.db, text, signature.today, separator)
    check_twice(carrying, pack)
    return _with(post, signature, carrying.with_pack(pack), pack)


def _badge(post: Posting, signature: Signature, text: str) -> CarryReply:
    code = known_staff(post.db, text)
    if code != signature.by:
        raise Refused(f"{signature.by} sits here. LEAVE first, then {code} signs in.")
    return CarryReply(f"{code} is signed in.")


def _word(post: Posting, signature: Signature, carrying: Carrying, word: str, more: str) -> Step:
    if more and word != "qty":
        raise InputError(f"{word}: found {more!r} after it, wanted nothing.")
    if word == "record":
        return carrying, CarryReply(carried=_recorded(post, signature, carrying), left=True)
    if word == "undo":
        return _undone(post, signature, carrying)
    pack = so_many(post.db, carrying.last, more)
    return _with(post, signature, carrying.with_last(pack), pack)


def _with(post: Posting, signature: Signature, after: Carrying, pack: CarriedPack) -> Step:
    """The move with this pack, and the line that it belongs to."""
    target = known_place(post.db, after.to_place, SITE_KINDS)
    lines = drawn(post.db, signature, after, target, pack.item)
    return after, CarryReply(line=lines[pack.asked])


def _undone(post: Posting, signature: Signature, carrying: Carrying) -> Step:
    """What is left of the line; its being gone or out of date is no reason to keep it."""
    after, gone = carrying.without_last(), carrying.last
    number = f" {gone.number}" if gone.number else ""
    words = CarryReply(f"Taken back: {gone.item}{number}.")
    if gone.asked not in after.wanted(gone.item):
        return after, words
    try:
        reply = _with(post, signature, after, gone)[1]
    except (InputError, Refused):
        return after, words
    return after, replace(reply, line=replace(reply.line, undone=True)) if reply.line else words


def _recorded(post: Posting, signature: Signature, carrying: Carrying) -> Carried:
    """One entry with the movements of the typed moves; its sitting is over."""
    if not carrying.packs:
        raise InputError("nothing was scanned yet. LEAVE, to record nothing.")
    source, target = carrying.from_place, known_place(post.db, carrying.to_place, SITE_KINDS)
    known_place(post.db, source, SITE_KINDS)
    lines = drawn(post.db, signature, carrying, target)
    moves = [
        Movement(d.lot.code, d.quantity, d.value, d.place, target.code, seen=seen)
        for d, seen in all_draws(lines)
    ]
    wanted = [[*asked, quantity] for asked, quantity in carrying.wanted().items()]
    asked = fresh_request(post.db, "move", [source, target.code, wanted])
    entry = post.post(Draft("move", signature, asked, moves)).number
    end_carrying(post.db, source, target.code)
    return Carried(entry, source, target.code, tuple(lines.values()))
