"""What the terminal at the desk shows: one line a pack, what is asked, what waits from before."""

from stockbook.domain.answers import Site
from stockbook.domain.days import expiry_text
from stockbook.domain.receiving import DeskPage, DeskReply, SeenPack, Unpacking
from stockbook.reports.amounts import amount
from stockbook.reports.tables import heading, plural

HELP = (
    "Scan a pack; then, where they apply: qty N, price X, reject REASON, quarantine REASON, undo. "
    "record posts the delivery, leave keeps it for later."
)
OPENING_HELP = (
    "Scan a pack; then, where they apply: qty N, price X, quarantine REASON, undo. record posts "
    "the opening stock, leave keeps it for later."
)


def desk_page(page: DeskPage, site: Site) -> str:
    """Whose delivery it is, who began it and when, and what waits from before."""
    unpacking = page.unpacking
    order = f" Order {unpacking.order}." if unpacking.order else ""
    lines = [heading(_title(unpacking), site), OPENING_HELP if unpacking.is_opening else HELP]
    if unpacking.packs or unpacking.open:
        began = f"begun by {unpacking.began_by} at {unpacking.began_at}"
        scans = plural(len(unpacking.packs), "scan")
        lines.append(f"Resumed: {began}, {scans} not recorded yet.{order}")
        lines += [f"  {pack_line(row)}" for row in page.rows]
    elif order:
        lines.append(order.strip())
    if page.question:
        lines.append(f"? {page.question}")
    return "\n".join(lines)


def _title(unpacking: Unpacking) -> str:
    sits = f"{unpacking.by} sits here"
    if unpacking.is_opening:
        return f"Opening stock, sheet {unpacking.note}, to {unpacking.place or 'STORE'}: {sits}"
    return f"Unpacking note {unpacking.note} of {unpacking.supplier}: {sits}"


def reply_lines(reply: DeskReply, site: Site) -> str:
    """The answer to one scan or word."""
    if reply.seen is not None:
        price = reply.seen.pack.price
        cost = f"; {site.money.text(price)} a pack" if price is not None else ""
        back = "Taken back: " if reply.seen.undone else ""
        return f"{back}{pack_line(reply.seen)}{cost}"
    return reply.words


def pack_line(seen: SeenPack) -> str:
    """Item, pack size, lot, expiry, days left, how many by now, and the order, in one line."""
    pack = seen.pack
    parts = [_what(seen), _lot(seen), _expiry(seen)]
    if pack.is_rejected:
        parts.append(f"REJECTED, {pack.door}: not taken in")
    elif pack.place:
        parts.append(f"set aside in {pack.place}: {pack.door}")
    parts += [*seen.notes, _so_far(seen), *_orders(seen)]
    return "; ".join(part for part in parts if part)


def _what(seen: SeenPack) -> str:
    pack, item = seen.pack, seen.item
    if item is None:
        return str(pack.identifier)
    return f"{item.code} {item.name}, {pack.level} of {amount(item, pack.units)}"


def _lot(seen: SeenPack) -> str:
    pack = seen.pack
    named = (("lot", pack.number), ("serial", pack.serial))
    return " ".join(f"{what} {name}" for what, name in named if name)


def _expiry(seen: SeenPack) -> str:
    pack, left = seen.pack, seen.days_left
    if pack.expires_on is None or pack.precision is None:
        return ""
    if left is None:
        return "no expiry"
    words = expiry_text(pack.expires_on, pack.precision)
    if left < 0:
        return f"EXPIRED {words}, {plural(-left, 'day')} ago"
    return f"expires {words}, {plural(left, 'day')} left"


def _so_far(seen: SeenPack) -> str:
    """How many packs of the line there are by now, and what that is in units."""
    pack, item = seen.pack, seen.item
    if item is None or pack.serial or (seen.packs == 1 and not seen.undone):
        return ""
    units = amount(item, seen.packs * pack.units)
    if pack.units == 10**item.unit_places:
        return f"{units} of it now"
    return f"{plural(seen.packs, 'pack')} of it now, {units}"


def _orders(seen: SeenPack) -> list[str]:
    """How far it fills its order; else the orders that wait for it."""
    item = seen.item
    if item is None or seen.pack.is_rejected:
        return []
    if seen.order is None:
        return [f"order {code} waits for it: not named" for code in seen.waits]
    if seen.ordered is None:
        return [f"NOT ORDERED with {seen.order}"]
    wanted = seen.ordered.to_come
    more = seen.units - wanted
    if more > 0:
        return [f"{seen.order}: {amount(item, more)} more than the {amount(item, wanted)} to come"]
    return [f"{seen.order}: {amount(item, seen.units)} of {amount(item, wanted)} to come"]
