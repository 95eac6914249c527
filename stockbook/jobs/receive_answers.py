"""Answers to what the desk asks of a pack, and how they are told from its other symbol."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from stockbook.domain import texts
from stockbook.domain.amounts import quantity_from_text
from stockbook.domain.days import expiry_from_text
from stockbook.domain.facts import Item
from stockbook.domain.gtin import is_gtin_like
from stockbook.domain.lenses import power_from_text
from stockbook.domain.own_codes import own_parts
from stockbook.domain.reasons import SHORT_DATED, reason_from
from stockbook.domain.receiving import OpenPack
from stockbook.domain.scan_links import is_link
from stockbook.domain.scans import read_symbol
from stockbook.errors import InputError, Refused, ScanRefused
from stockbook.jobs.finding import money_of, near
from stockbook.jobs.receive_desk import Desk, Wanted
from stockbook.jobs.receive_packs import scan_of
from stockbook.jobs.signing import known_staff
from stockbook.ledger.facts import codes, find
from stockbook.ledger.stock import lens_models

LEVELS = ("each", "inner", "outer")
_MOST_PRINTED = 20
"""Characters of the longest lot or serial that a symbol holds."""

_MOST_OF_PRICE = 7
"""Figures of the longest price without a point; more of them come from a scanner."""

Answer = Callable[[Desk, OpenPack, str], OpenPack]


def answered(desk: Desk, pack: OpenPack, asked: Wanted, text: str) -> OpenPack | None:
    """The pack with the answer; none where the text is the pack's other symbol."""
    if asked.name in ("lot", "serial"):
        return None if _is_other_symbol(desk, asked.name, text) else printed(pack, asked.name, text)
    if asked.name == "price" and _is_figures(text):
        return None
    try:
        return _ANSWERS[asked.name](desk, pack, text.strip())
    except InputError:
        if _looks_like_symbol(desk, text) and not _is_short_of_power(asked, text):
            return None
        raise


def printed(pack: OpenPack, name: str, text: str) -> OpenPack:
    """The printed lot or serial, as a person types it."""
    value = texts.required_text(text, name, 40)
    return replace(pack, lot=value) if name == "lot" else replace(pack, serial=value)


def thing_named(desk: Desk, text: str) -> str | None:
    """The code of an item or the name of a lens model, if a text is one."""
    code = text.upper() if text.isascii() else text
    known = find(desk.db, Item, code) is not None or code in lens_models(desk.db)
    return code if known else None


def _is_other_symbol(desk: Desk, name: str, text: str) -> bool:
    """Whether a text is the pack's other symbol rather than what is printed; doubt is refused."""
    if _is_marked(text) or len(text) > _MOST_PRINTED or _begins_with_gtin(text):
        return True
    if is_gtin_like(text):
        _two_readings(text, name)
    try:
        scan = read_symbol(text, desk.signature.today, desk.separator)
    except ScanRefused as refused:
        return refused.name == "GS_MISSING_OR_LOT_TOO_LONG"
    if scan.expiry is None or not (scan.lot or scan.serial):
        _two_readings(text, name)
    return True


def _two_readings(text: str, name: str) -> None:
    raise InputError(
        f"{text}: a symbol, or the printed {name}? Type '{name} {text}' for what is printed; a "
        "symbol of the pack in brackets, as in (10)ABC."
    )


def _is_marked(text: str) -> bool:
    """Whether a text says by its beginning that it is a symbol."""
    return text.startswith(("]", "+", "*+", "(")) or is_link(text) or own_parts(text) is not None


def _begins_with_gtin(text: str) -> bool:
    return text.startswith("01") and len(text) >= 16 and text[:16].isdigit()


def _looks_like_symbol(desk: Desk, text: str) -> bool:
    """Whether a text that is no answer is a symbol, be it one that is refused."""
    if _is_marked(text) or is_gtin_like(text) or _begins_with_gtin(text):
        return True
    try:
        read_symbol(text, desk.signature.today, desk.separator)
    except ScanRefused:
        return False
    return True


def _is_figures(text: str) -> bool:
    """Whether a text is a product's number; a longer one without a point is no price either."""
    if is_gtin_like(text) or _begins_with_gtin(text):
        return True
    if text.isdigit() and len(text) > _MOST_OF_PRICE:
        raise InputError(f"{text}: a barcode, or the price? Type 'price {text}' for a price.")
    return False


def _is_short_of_power(asked: Wanted, text: str) -> bool:
    """A power without its decimals begins like a HIBC symbol, and is none."""
    return asked.name == "power" and len(text.strip()) <= len("+21.50")


def _item(desk: Desk, pack: OpenPack, text: str) -> OpenPack:
    """ITEM or MODEL, and with it how it is packed where that is said at once."""
    name, *packed = text.split() or [""]
    code = thing_named(desk, name)
    if code is None:
        known = (*codes(desk.db, Item), *lens_models(desk.db))
        raise InputError(f"item: {name} is not in this book.{near(name.upper(), known)}")
    item = find(desk.db, Item, code)
    power = item.power if item else None
    named = replace(pack, item=code, power=power if pack.symbols else None)
    return _units(desk, named, " ".join(packed)) if packed else named


def _units(desk: Desk, pack: OpenPack, text: str) -> OpenPack:
    """LEVEL UNITS."""
    words = text.lower().split()
    if len(words) != 2 or words[0] not in LEVELS:
        raise InputError(f"found {text!r}, wanted each, inner or outer, and the units in it.")
    item = find(desk.db, Item, str(pack.item))
    units = quantity_from_text(words[1], 0, "units") * 10 ** (item.unit_places if item else 0)
    return replace(pack, level=words[0], units=units)


def _power(_: Desk, pack: OpenPack, text: str) -> OpenPack:
    return replace(pack, power=power_from_text(text, "power on the box"))


def _all_powers(_: Desk, pack: OpenPack, text: str) -> OpenPack:
    """Yes: the identifier is the model's; no: the power was misread and is asked again."""
    if texts.one_of(text, ("yes", "no"), "one identifier for all powers") == "yes":
        return replace(pack, all_powers=True)
    return replace(pack, power=None)


def _expiry(_: Desk, pack: OpenPack, text: str) -> OpenPack:
    day, precision = expiry_from_text(text)
    return replace(pack, expiry=day, precision=precision)


def _price(desk: Desk, pack: OpenPack, text: str) -> OpenPack:
    return replace(pack, price=money_of(desk.db).minor(text, "price of one pack"))


def _sure(desk: Desk, pack: OpenPack, text: str) -> OpenPack:
    """The printed expiry, typed: the same once more is believed, another one is judged anew."""
    before = pack.expiry or scan_of(desk, pack).expires_on
    after = _expiry(desk, pack, text or "?")
    return replace(after, sure=after.expiry == before)


def _short(_: Desk, pack: OpenPack, text: str) -> OpenPack:
    return replace(pack, reason=reason_from(text.lower(), SHORT_DATED, "short-dated reason"))


def _gift(desk: Desk, pack: OpenPack, text: str) -> OpenPack:
    """Somebody accepts the gift in their own name; besides who sits here only one other."""
    code = accepting(desk, text)
    other = desk.unpacking.accepted_by
    if code != desk.signature.by and other not in (None, code):
        raise Refused(f"{other} accepts gifts of this delivery; one entry, one second person.")
    return replace(pack, reason="donation")


def accepting(desk: Desk, text: str) -> str:
    """The staff code that accepts, scanned from a badge or typed."""
    parts = own_parts(text)
    return known_staff(desk.db, parts[1][0] if parts and parts[0] == "STAFF" else text)


def _none(_: Desk, __: OpenPack, text: str) -> OpenPack:
    raise InputError(f"{text}: no answer. Say reject or quarantine with a reason, or undo.")


_ANSWERS: Mapping[str, Answer] = {
    "symbol": _item, "item": _item, "units": _units, "power": _power, "all_powers": _all_powers,
    "expiry": _expiry, "sure": _sure, "short": _short, "gift": _gift, "expired": _none,
    "known": _none, "price": _price,
}  # fmt: skip
