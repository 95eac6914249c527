"""What a pack's dates make the desk ask: an expiry hard to believe, past, short, or a gift's."""

from dataclasses import replace

from stockbook.domain.days import NO_EXPIRY, days_between, expiry_text
from stockbook.domain.deliveries import DeliveryLine
from stockbook.domain.facts import Item
from stockbook.domain.meanings import Meaning
from stockbook.domain.reasons import DOOR, SHORT_DATED
from stockbook.domain.receiving import OpenPack, TakenPack
from stockbook.domain.scan_facts import Scan
from stockbook.jobs.receive_checks import left_over_words
from stockbook.jobs.receive_desk import Desk, Wanted
from stockbook.ledger.stock import lots_named

_DOUBTS = {
    "EXPIRY_LONG_PAST": "is more than ten years past",
    "EXPIRY_FAR_AHEAD": "is more than fifteen years ahead",
    "EXPIRY_NOT_AFTER_PRODUCTION": "is not after it was made",
    "EXPIRY_NOT_AS_IN_BOOK": "is not that of the other packs of this lot",
}


def check_date(desk: Desk, pack: OpenPack, scan: Scan, item: Item, made: TakenPack) -> None:
    """A printed date that is hard to believe is typed once more by the person who reads it."""
    expires_on = str(made.expires_on)
    if pack.sure or expires_on == NO_EXPIRY:
        return
    lots = lots_named(desk.db, str(made.number), item.code)
    read = replace(scan, expiry=expires_on, expiry_precision=made.precision)
    doubts = list(Meaning(read, desk.day, item=item, lots=tuple(lots)).doubts)
    beside = [
        one
        for one in desk.unpacking.packs
        if (one.item, one.number) == (item.code, made.number) and not one.is_rejected
    ]
    if any(one.expires_on not in (None, expires_on) for one in beside):
        doubts.append("EXPIRY_NOT_AS_IN_BOOK")
    if doubts:
        words = " and ".join(dict.fromkeys(_DOUBTS[name] for name in doubts))
        shown_day = expiry_text(expires_on, str(made.precision))
        raise Wanted(
            "sure",
            f"{item.code} lot {made.number}: expiry {shown_day} {words}. Read the pack and type "
            "the printed expiry.",
        )


def reason_of(desk: Desk, pack: OpenPack, item: Item, made: TakenPack) -> str | None:
    """Why a pack of a short life is taken in all the same; none where its life is long enough.

    Opening stock is here already: what of it is not expired is taken as it is.
    """
    left = days_between(desk.day, str(made.expires_on))
    name = f"{item.code} lot {made.number}"
    refuse = f"or reject or quarantine it ({', '.join(DOOR)})"
    opening = desk.unpacking.is_opening
    if left < 0:
        what = "Quarantine it" if opening else "Reject or quarantine it"
        raise Wanted("expired", f"{name}: EXPIRED {made.expires_on}. {what}, or undo.")
    if opening:
        return None
    least = desk.days("gift_least_days")
    if desk.unpacking.terms == "donated" and left < least:
        if pack.reason is None:
            raise Wanted(
                "gift",
                f"{name}: a gift with {left} days left, fewer than {least}. "
                f"{_left_over(desk, item, made)} Who accepts it? Scan or type the staff code; "
                f"{refuse}.",
            )
        return pack.reason
    short = desk.days("short_dated_days")
    if left >= short:
        return None
    if pack.reason is None:
        raise Wanted(
            "short",
            f"{name}: {left} days left, fewer than {short}. Why is it taken: "
            f"{', '.join(SHORT_DATED)}; {refuse}?",
        )
    return pack.reason


def _left_over(desk: Desk, item: Item, made: TakenPack) -> str:
    line = DeliveryLine(
        item, made.units * made.count, 0, str(made.number), made.serial, str(made.expires_on),
        str(made.precision), terms="donated",
    )  # fmt: skip
    return left_over_words(desk.db, line, desk.day, desk.unpacking.place or "STORE")
