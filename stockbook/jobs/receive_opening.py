"""Opening stock that was scanned: lots that lay here before the book began, recorded once."""

from stockbook.domain.deliveries import DeliveryLine, PricedLine, arrivals, lot_of, priced
from stockbook.domain.entries import Draft, Request, Signature, digest_of
from stockbook.domain.places import OPENING, SITE_KINDS
from stockbook.domain.records import Received, ReceivedLine
from stockbook.jobs.finding import known_place
from stockbook.jobs.receive import Delivery, asked_of_delivery
from stockbook.jobs.receive_checks import check_serials
from stockbook.jobs.receive_prices import book_price
from stockbook.jobs.signing import check_person
from stockbook.ledger.posting import Posting, find_request, natural_key
from stockbook.ledger.stock import next_lot


def open_within(post: Posting, signature: Signature, sheet: Delivery) -> Received:
    """The lots lie at their place, as importing them would have put them there.

    The sheet has the note's place: recorded with the same lines it stays one entry.
    """
    db = post.db
    check_person(db, signature, "receive")
    place = known_place(db, sheet.place, SITE_KINDS).code
    key = natural_key(db, f"receive/{OPENING}/{sheet.note}")
    request = Request(key, digest_of([asked_of_delivery(sheet), place]))
    known = find_request(db, request)
    if known is not None:
        return Received(known, True, OPENING, sheet.note, place, (), sheet.charges)
    check_serials(db, sheet.lines)
    lines = [_priced(post, line) for line in sheet.lines]
    return _record(post, signature, request, place, sheet, lines)


def _priced(post: Posting, line: DeliveryLine) -> PricedLine:
    return priced(line, book_price(post.db, line.item.code))


def _record(
    post: Posting, signature: Signature, request: Request, place: str, sheet: Delivery,
    lines: list[PricedLine],
) -> Received:  # fmt: skip
    first = next_lot(post.db)
    lots = [
        lot_of(line, first + n, signature.happened_on, None, None) for n, line in enumerate(lines)
    ]
    moves = arrivals(lines, lots, OPENING, place)
    recorded = post.post(Draft("opening", signature, request, moves, lots, sheet.note))
    made = tuple(
        ReceivedLine(lot, p.line, p.value, p.provisional)
        for p, lot in zip(lines, lots, strict=True)
    )
    return Received(
        recorded.number, recorded.already, OPENING, sheet.note, place, made, sheet.charges
    )
