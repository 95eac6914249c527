"""Discarding from a shelf, with a reason."""

from stockbook.domain.entries import Draft, Movement, Signature
from stockbook.domain.facts import Item
from stockbook.domain.picking import Shelf, ShelfRow, Wish
from stockbook.domain.places import SITE_KINDS, waste_place
from stockbook.domain.reasons import DISCARD, reason_from
from stockbook.domain.records import Moved
from stockbook.jobs.consigned import charges_for
from stockbook.jobs.finding import known_item, known_place, quantity_of
from stockbook.jobs.moving import rows_to_move, shelf_at, take, wish_at
from stockbook.jobs.signing import check_person, fresh_request, second_person
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import posting


def discard_stock(
    book: Book, signature: Signature, item_text: str, amount: str, from_text: str, *,
    number: str | None = None, keep: bool = True,
) -> Moved:  # fmt: skip
    """The units are common waste; controlled items need a second person."""
    reason = reason_from(signature.reason, DISCARD, "--reason")
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "discard")
        item = known_item(post.db, item_text)
        quantity = quantity_of(item, amount)
        place = known_place(post.db, from_text, SITE_KINDS).code
        if item.controlled:
            second_person(signature, f"Discarding {item.code} (controlled)")
        shelf = shelf_at(post.db, place, item)
        wish = wish_at(post.db, signature.happened_on, place, item)
        draws = take(shelf, _rows(shelf, item, wish, number, reason), item, quantity)
        to = waste_place(None)
        moves = [
            Movement(d.lot.code, d.quantity, d.value, d.place, to, reason=reason,
                     seen=number is not None)
            for d in draws
        ]  # fmt: skip
        moves += charges_for(post.db, {d.lot.code: d.lot for d in draws}, moves)
        asked = [item.code, quantity, place, number, reason]
        draft = Draft("discard", signature, fresh_request(post.db, "discard", asked), moves)
        recorded = post.post(draft)
    return Moved(recorded.number, item, place, to, tuple(draws))


def _rows(shelf: Shelf, item: Item, wish: Wish, number: str | None, reason: str) -> list[ShelfRow]:
    """The named lot; for `expired` what is past its expiry; else what the rule would pick."""
    if number is None and reason == "expired":
        rows = [r for r in shelf.rows(item.code) if r.lot.expires_on < wish.day]
        return sorted(rows, key=lambda r: (r.lot.expires_on, r.lot.received_on, r.lot.code))
    return rows_to_move(shelf, item, wish, number, any_condition=True)
