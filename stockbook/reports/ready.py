"""How the answer looks: the verdict in words, a line a case, one table of what is missing."""

from collections.abc import Iterator

from stockbook.domain.answers import Site
from stockbook.domain.lenses import power_text
from stockbook.domain.orders import OnOrder
from stockbook.domain.picking import Draw
from stockbook.domain.ready import SPARE, STANDBY, Act, Lack, Ready, ReadyCase, Stopped
from stockbook.reports.amounts import amount, expiry, lot_name
from stockbook.reports.tables import heading, plural, table

MOST = 3
"""How many missing things are named in a case's own line; all of them stand in the table."""


def verdict(found: Ready) -> str:
    """Yes or no, of how many cases; the first line of every page."""
    if not found.cases:
        return "Nothing to serve: no case waits. Nothing recorded."
    count = len(found.patients)
    if found.can_be_served:
        return f"Can be served: {count} of {plural(count, 'case')}. Nothing recorded."
    lists = [f"what list {code} uses in common" for code in found.unready_lists]
    cases = [f"{found.unready} of {plural(count, 'case')}"] if found.unready else []
    return f"Cannot be served: {' and '.join([*cases, *lists])}. Nothing recorded."


def title(found: Ready) -> str:
    """Which lists, on which day."""
    lists = ", ".join(one.code for one in found.lists) or "no list"
    return f"Ready? {lists}, {found.day}"


def ready_page(found: Ready, site: Site) -> str:
    """The verdict, a line a case, what is missing in total, what to mind."""
    parts = [verdict(found), heading(title(found), site)]
    if found.cases:
        parts.append(_cases(found))
    if found.lacks:
        parts.append(f"Missing in total:\n{_lacks(found)}")
    parts += notes(found)
    return "\n".join(parts)


def _cases(found: Ready) -> str:
    several = len(found.lists) > 1
    rows = [
        (
            *((one.case.list,) if several else ()), one.case.position or None, name(one),
            operation(one), one.case.eye, lens_words(one),
            ", ".join(lot_name(d.lot) for d in lens_draws(one, found)),
            ", ".join(d.place for d in lens_draws(one, found)), state(one, found),
        )
        for one in found.cases
    ]  # fmt: skip
    headers = (*(("List",) if several else ()), "No", "Case", "Operation", "Eye", "Lens", "Lot",
               "From", "Ready")  # fmt: skip
    return table(headers, rows, "No")


def name(one: ReadyCase) -> str:
    """The case's code; or whose common use it is."""
    return f"list {one.case.list}, common" if one.is_common else one.case.code


def operation(one: ReadyCase) -> str:
    """Procedure and category."""
    return " ".join(words for words in (one.case.procedure, one.case.category) if words)


def lens_words(one: ReadyCase) -> str:
    """The case's own model and power, as far as they are known."""
    model, power = one.case.lens_model, one.case.power
    if model is None and power is None:
        return ""
    return f"{model or 'model unknown'} {'?' if power is None else power_text(power)}"


def lens_draws(one: ReadyCase, found: Ready) -> list[Draw]:
    """The lenses that the case draws or has on its trolley."""
    return [draw for draw in one.kit if found.items[draw.lot.item].lens_model]


def state(one: ReadyCase, found: Ready) -> str:
    """Ready, or what is missing in a few words."""
    served = "issued" if one.waiting.issued else "ready"
    if one.is_ready:
        return served
    words = list(_missing(one, found))
    more = [f"{len(words) - MOST} more"] if len(words) > MOST else []
    return f"not ready: {', '.join([*words[:MOST], *more])}"


def _missing(one: ReadyCase, found: Ready) -> Iterator[str]:
    if one.waiting.unknown:
        yield one.waiting.unknown
    for kind, gap in one.missing():
        if kind == SPARE:
            yield f"no spare {gap.item}"
        else:
            word = "standby " if kind == STANDBY else ""
            yield f"{word}{gap.item} {amount(found.items[gap.item], gap.short)} short"


def _lacks(found: Ready) -> str:
    rows = [
        (
            lack.item, *(amount(found.items[lack.item], n)
                         for n in (lack.wanted, lack.usable, lack.short)),
            " + ".join(lack.kinds), ", ".join(lack.cases), nearest(lack, found),
        )
        for lack in found.lacks
    ]  # fmt: skip
    headers = ("Item", "Wanted", "Usable", "Short", "As", "Cases", "Nearest act")
    return table(headers, rows, "Wanted,Usable,Short")


def nearest(lack: Lack, found: Ready) -> str:
    """What would help, in words, and what lies there and must not be used."""
    words = [act_words(act, found) for act in lack.acts]
    words += [_stopped(one, lack, found) for one in lack.stopped]
    return "; ".join(words)


def act_words(act: Act, found: Ready) -> str:
    """One act in words."""
    if act.kind == "sequence":
        return f"change the sequence: {act.case} first"
    units = amount(found.items[act.item], act.quantity)
    if act.kind == "none":
        needed = f"; what {act.from_place} has is needed there" if act.from_place else ""
        coming = found.on_order.get(act.item)
        if coming is not None:
            return _coming(coming, act.quantity) + needed
        return f"order {units}{needed or ': not in the house'}"
    what = f"fetch {units} from {act.from_place} to {act.to_place}"
    return what if act.kind == "fetch" else f"alternative {act.item}: {what}"


def _coming(coming: OnOrder, short: int) -> str:
    """What is to come of an item, due first, and what is short even then."""
    words = [
        f"on order: {amount(coming.item, one.quantity)} due {one.due_on} ({one.order})"
        for one in coming.parts
    ]
    left = short - coming.quantity
    return "; ".join([*words, *([f"order {amount(coming.item, left)} more"] if left > 0 else [])])


def _stopped(one: Stopped, lack: Lack, found: Ready) -> str:
    return f"{amount(found.items[lack.item], one.quantity)} in {one.place} {one.why}"


def notes(found: Ready) -> list[str]:
    """Short lines: lots that expire soon, who was left out, who else draws from the stores."""
    lines = []
    if found.expiring:
        lots = ", ".join(
            f"{d.lot.item} {lot_name(d.lot)} ({expiry(d.lot)})" for d in found.expiring
        )
        lines.append(f"Warning: expires within {found.expiring_days} days: {lots}.")
    if any(one.waiting.unknown and not one.waiting.needs for one in found.cases):
        lines.append("What a case without a known kit needs is not counted.")
    if found.left_out:
        lines.append(f"Left out: {', '.join(found.left_out)}.")
    if found.other_lists:
        lines.append(
            f"Not counted, though of the same day: {', '.join(found.other_lists)}. "
            "Ask for the day to see all of them."
        )
    return lines
