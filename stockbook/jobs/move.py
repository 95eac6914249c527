"""Moving stock from one place to another."""

from stockbook.domain.entries import Draft, Movement, Signature
from stockbook.domain.levels import wrong_storage
from stockbook.domain.places import SITE_KINDS
from stockbook.domain.records import Moved
from stockbook.errors import InputError
from stockbook.jobs.finding import known_item, known_place, quantity_of
from stockbook.jobs.moving import rows_to_move, shelf_at, take, wish_at
from stockbook.jobs.signing import check_person, fresh_request
from stockbook.ledger.opening import Book
from stockbook.ledger.posting import posting


def move_stock(
    book: Book, signature: Signature, item_text: str, amount: str, from_text: str, to_text: str, *,
    number: str | None = None, keep: bool = True,
) -> Moved:  # fmt: skip
    """The units lie at the other place; without a named lot only what may be used is taken."""
    with posting(book, keep=keep) as post:
        check_person(post.db, signature, "move")
        item = known_item(post.db, item_text)
        quantity = quantity_of(item, amount)
        from_place = known_place(post.db, from_text, SITE_KINDS)
        to_place = known_place(post.db, to_text, SITE_KINDS)
        if from_place == to_place:
            raise InputError(f"move: from and to are both {to_place.code}.")
        shelf = shelf_at(post.db, from_place.code, item)
        wish = wish_at(post.db, signature.happened_on, from_place.code, item)
        rows = rows_to_move(shelf, item, wish, number, any_condition=to_place.kind != "theatre")
        draws = take(shelf, rows, item, quantity)
        moves = [
            Movement(d.lot.code, d.quantity, d.value, d.place, to_place.code,
                     seen=number is not None)
            for d in draws
        ]  # fmt: skip
        asked = [item.code, quantity, from_place.code, to_place.code, number]
        draft = Draft("move", signature, fresh_request(post.db, "move", asked), moves)
        recorded = post.post(draft)
    return Moved(recorded.number, item, from_place.code, to_place.code, tuple(draws))


def storage_warning(book: Book, item_text: str, to_text: str) -> str | None:
    """What is wrong with keeping the item at that place, in words; none when it may lie there."""
    with book.reading() as db:
        item = known_item(db, item_text)
        return wrong_storage(item, known_place(db, to_text, SITE_KINDS))
