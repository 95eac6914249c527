"""What the terminal shows of a move by scanner: one line a lot, and the page of what went."""

from stockbook.domain.answers import Site
from stockbook.domain.carrying import Carried, CarriedLine, CarryPage, CarryReply
from stockbook.reports.amounts import amount, expiry, lot_name
from stockbook.reports.tables import heading, plural, table

HELP = (
    "Scan a pack; then, where they apply: qty N, undo. record posts the move, leave keeps it for "
    "later."
)
HEADERS = ("Item", "Name", "Lot", "Expiry", "Units", "Value")


def carry_page(page: CarryPage, site: Site) -> str:
    """Whose move it is, who began it and when, and what waits from before."""
    carrying = page.carrying
    title = f"Moving from {carrying.from_place} to {carrying.to_place}: {carrying.by} sits here"
    lines = [heading(title, site), HELP]
    if carrying.packs:
        scans = plural(len(carrying.packs), "scan")
        began = f"begun by {carrying.began_by} at {carrying.began_at}"
        lines.append(f"Resumed: {began}, {scans} not recorded yet.")
    lines += [f"  {carry_line(line, carrying.from_place)}" for line in page.lines]
    lines += [f"!! {words}" for words in page.gone]
    return "\n".join(lines)


def carry_reply(reply: CarryReply, from_place: str) -> str:
    """The answer to one scan or word."""
    if reply.line is None:
        return reply.words
    back = "Taken back; still moving: " if reply.line.undone else ""
    return f"{back}{carry_line(reply.line, from_place)}"


def carry_line(line: CarriedLine, from_place: str) -> str:
    """Item, how much of it by now, from which lots, and what of them stays."""
    item = line.item
    units = amount(item, sum(draw.quantity for draw in line.draws))
    lots = [f"lot {lot_name(draw.lot)} expires {expiry(draw.lot)}" for draw in line.draws]
    if len(lots) > 1:
        shares = [amount(item, draw.quantity) for draw in line.draws]
        lots = [f"{share} of {lot}" for share, lot in zip(shares, lots, strict=True)]
    parts = [f"{item.code} {item.name}, {units}", *lots]
    parts += ["presumed, no lot was read"] if line.number is None else []
    parts += [f"{amount(item, line.left)} left in {from_place}"]
    parts += [f"WARNING: {line.warning}"] if line.warning else []
    return "; ".join(parts)


def carried_page(carried: Carried, site: Site) -> str:
    """Which lots went from one place to another."""
    rows = [
        (
            line.item.code, line.item.name, lot_name(draw.lot), expiry(draw.lot),
            amount(line.item, draw.quantity), site.money.text(draw.value),
        )
        for line in carried.lines for draw in line.draws
    ]  # fmt: skip
    title = f"Moved from {carried.from_place} to {carried.to_place}"
    return f"{heading(title, site)}\n{table(HEADERS, rows, 'Units,Value')}"
