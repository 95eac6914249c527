"""How a proposal looks: by supplier what to order and why, one item in arithmetic, a tender."""

from typing import TYPE_CHECKING

from stockbook.domain.amounts import quantity_text
from stockbook.domain.answers import Site
from stockbook.domain.facts import Item
from stockbook.domain.proposals import CrossCheck, Proposal, Proposed, Tender
from stockbook.reports.amounts import amount
from stockbook.reports.chances import chance
from stockbook.reports.forecast import about
from stockbook.reports.tables import heading, lines, plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet

_NAMES = ("Item", "There", "Expected use", "Short now", "Short then", "Order", "Cost")
_RIGHT = "There,Expected use,Order,Cost"


def proposal_page(found: Proposal, site: Site) -> str:
    """A table for each supplier; what the rule of the handbooks would order beside it."""
    parts = [heading(f"Proposal {found.code} of orders, {found.day} ({site.money.code})", site)]
    if not found.wanted:
        parts.append("Nothing needs to be ordered.")
    for supplier, group in found.by_supplier.items():
        parts += ["", *_group(supplier, group, site)]
    parts += ["", *_notes(found, site)]
    return "\n".join(parts)


def _group(supplier: str | None, group: tuple[Proposed, ...], site: Site) -> list[str]:
    rows = [_row(line, site) for line in sorted(group, key=_urgent)]
    if supplier is None:
        title = "No supply terms, so no supplier, pack or price is known"
    else:
        title = f"{supplier}: {site.money.text(sum(line.cost or 0 for line in group))}"
    return [title, table(_NAMES, rows, _RIGHT), *_whys(group)]


def _urgent(line: Proposed) -> tuple[float, str]:
    return -line.chance_without, line.item.code


def _row(line: Proposed, site: Site) -> tuple[str, ...]:
    item = line.item
    return (
        item.code, amount(item, line.at), about(item, line.expected),
        chance(line.chance_without), chance(line.chance_with), _order(line),
        "" if line.cost is None else site.money.text(line.cost),
    )  # fmt: skip


def _order(line: Proposed) -> str:
    units = amount(line.item, line.units)
    if line.terms is None or line.terms.pack_quantity == 1:
        return units
    return f"{units} ({plural(line.packs or 0, 'pack')})"


def _whys(group: tuple[Proposed, ...]) -> list[str]:
    """A line for each reason, with the items that have it; none for what is simply missing."""
    items: dict[str, list[str]] = {}
    for line in group:
        items.setdefault(_why(line), []).append(line.item.code)
    return [f"  {', '.join(codes)}: {why}" for why, codes in items.items() if why]


def _why(line: Proposed) -> str:
    """Why it is not simply what is missing to the level; nothing where it is."""
    words = list(line.quantity.reasons)
    if line.levelled.is_capped:
        words.insert(0, "held down, or some would expire")
    if line.levelled.standby >= line.levelled.forecast and line.levelled.standby:
        words.insert(0, f"standby {amount(line.item, line.levelled.standby)}")
    return "; ".join(words)


def _notes(found: Proposal, site: Site) -> list[str]:
    notes = [
        f"Levels: {_services(found)}. There: usable and on order.",
        f"Short: one chance in so many before the order after next can come (review every "
        f"{found.review_days} days, then the lead time); then: with this order.",
    ]
    if found.budget is not None:
        notes += _budget(found, site)
    notes += _cross_check(found, site)
    if found.none:
        notes.append(f"No basis for {plural(len(found.none), 'item')}: "
                     f"{', '.join(one.what for one in found.none)}.")  # fmt: skip
    more = " (with the same --budget)" if found.budget else ""
    accept = f"Record it: stockbook order accept --proposal {found.code}{more}"
    return [*notes, "One item in arithmetic: --explain ITEM. " + accept] if found.wanted else notes


def _services(found: Proposal) -> str:
    """What the levels promise: each service that any has, or by cost from the least to the most."""
    if not found.by_cost:
        return "; ".join(sorted({line.service.words for line in found.lines}))
    plain = [line.service for line in found.lines if _is_by_cost(line)]
    own = sorted({line.service.words for line in found.lines if not _is_by_cost(line)})
    ranked = sorted(plain, key=lambda service: service.permille)
    if not ranked:
        return "; ".join(own)
    words = ranked[0].words_up_to(ranked[-1])
    return "; ".join([f"by cost, on average over all uses the site's: {words}", *own])


def _budget(found: Proposal, site: Site) -> list[str]:
    money, made = site.money, found.budget
    if made is None:
        return []
    spent = made.spending
    return [
        f"Budget {money.text(made.amount)} of {money.text(made.wanted)} wanted: "
        f"{money.text(spent.cost)} spent, {spent.gain:.1f} uses expected to be served by it; no "
        f"choice within the sum serves more than {spent.bound:.1f} (gap {spent.gap:.1f})."
    ]


def _cross_check(found: Proposal, site: Site) -> list[str]:
    """One line: what the max-min rule would order in all, with its settings."""
    checked = [line for line in found.lines if line.check is not None]
    if not checked:
        return []
    more = sum(line.check is not None and line.check.units > line.units for line in checked)
    less = sum(line.check is not None and line.check.units < line.units for line in checked)
    rule = checked[0].check
    cost = sum(_rule_cost(line) for line in checked)
    words = "" if rule is None else settings_words(rule)
    return [
        f"Cross-check, max-min rule of the handbooks ({words}): {site.money.text(cost)} in all; "
        f"more than here of {more}, less of {less} of {plural(len(checked), 'item')} with use."
    ]


def _rule_cost(line: Proposed) -> int:
    """What the rule's units would cost at the price of these terms."""
    if line.terms is None or line.check is None:
        return 0
    return line.terms.price * line.check.units // line.terms.price_quantity


def settings_words(check: CrossCheck) -> str:
    """The rule's settings in months."""
    rule = check.rule
    safety, review = float(rule.safety_months), float(rule.review_months)
    return f"review {review:.2f} months, safety stock {safety:.2f}, lead time of each supplier"


def line_page(found: Proposal, line: Proposed, site: Site) -> str:
    """One item in words and arithmetic."""
    item, held = line.item, line.levelled
    rows = [
        ("Usable", amount(item, line.usable)), ("On order", amount(item, line.on_order)),
        ("Expected use", f"{about(item, line.expected)} in {found.review_days} days and a lead "
                         f"time of {line.lead_days:.1f}"),
        ("Service", _service(found, line)),
        ("Level of the forecast", amount(item, held.forecast)),
        ("Standby minimum", amount(item, held.standby) if held.standby else None),
        ("Most that will be used", _cap(line)),
        ("Order up to", amount(item, held.level)),
        ("Missing", f"{amount(item, held.level)} - {amount(item, line.at)} = "
                    f"{amount(item, line.quantity.needed)}"),
        ("Order", _order(line)), ("Why so much", "; ".join(line.quantity.reasons)),
        ("Cost", _price(line, site)),
        ("Short without it", _percent(line.chance_without)),
        ("Short with it", _percent(line.chance_with)),
        ("Last unit expires", None if line.chance_expires is None
         else _percent(line.chance_expires)),
        ("Max-min rule", _rule(line)),
    ]  # fmt: skip
    title = f"Order of {item.code} {item.name}, {found.day} ({site.money.code})"
    return f"{heading(title, site)}\n{lines(rows)}"


def _service(found: Proposal, line: Proposed) -> str:
    """What the item's level promises, and whether its cost has a say in it."""
    by_cost = found.by_cost and _is_by_cost(line)
    return f"{line.service.words}{' (by its cost)' if by_cost else ''}"


def _is_by_cost(line: Proposed) -> bool:
    """Whether its cost may have a say: it has a price, and no service of its own."""
    return not line.item.service and line.terms is not None


def _cap(line: Proposed) -> str | None:
    if line.levelled.cap is None:
        return None if line.shelf_life is None else f"no limit, it keeps {line.shelf_life} days"
    return (
        f"{amount(line.item, line.levelled.cap)} before they expire, with 95 % (it keeps "
        f"{line.shelf_life} days when it comes, as a rule)"
    )


def _price(line: Proposed, site: Site) -> str:
    if line.terms is None or line.cost is None:
        return "no supply terms"
    return f"{site.money.text(line.cost)} from {line.terms.supplier}"


def _percent(value: float) -> str:
    return f"{100 * value:.2f} % ({chance(value)})"


def _rule(line: Proposed) -> str:
    if line.check is None:
        return "no use of late, so it says nothing"
    check, item = line.check, line.item
    use = float(check.monthly_use) / 10**item.unit_places
    most = float(check.rule.max_months)
    return (
        f"{use:.1f} a month x {most:.2f} months less {amount(item, check.position)}: "
        f"{amount(item, check.units)} ({settings_words(check)})"
    )


def tender_page(found: Tender, site: Site) -> str:
    """What a tender's time needs, and how it is called off."""
    names = ("Item", "Expected", "Up to", "There", "Tender", "Called off")
    rows = [
        (line.item.code, about(line.item, line.expected), amount(line.item, line.most),
         amount(line.item, line.at), amount(line.item, line.quantity),
         _called(line.item, line.call_offs))
        for line in found.lines
    ]  # fmt: skip
    parts = [
        heading(f"Quantities for a tender of {found.months} months, {found.day}", site),
        table(names, rows, "Expected,Up to,There,Tender") if rows else "Nothing has a basis.",
        f"Up to: enough with the chance of the item's service. Called off every {found.every} "
        "months; agree shelf lives at each call-off, and that fewer may be called.",
    ]
    if found.none:
        parts.append(f"No basis for {plural(len(found.none), 'item')}: "
                     f"{', '.join(one.what for one in found.none)}.")  # fmt: skip
    return "\n".join(parts)


def _called(item: Item, parts: tuple[int, ...]) -> str:
    if len(set(parts)) == 1:
        return f"{len(parts)} x {amount(item, parts[0])}"
    return " + ".join(amount(item, part) for part in parts)


def proposal_sheets(found: Proposal) -> "list[DataSheet]":
    """Every line that was looked at; what needs nothing has an order of nothing."""
    from stockbook.reports.data import DataSheet, Quantity, columns

    names = columns(
        "supplier", "item", "name", "usable:quantity", "on_order:quantity", "expected_use",
        "service", "level:quantity", "standby:quantity", "cap:quantity", "needed:quantity",
        "order:quantity", "packs:count", "cost:money", "chance_short", "chance_short_then",
        "chance_last_expires", "max_min:quantity", "why",
    )  # fmt: skip
    rows = []
    for line in found.lines:
        item, held = line.item, line.levelled

        def units(steps: int | None, item: Item = item) -> Quantity | None:
            return None if steps is None else Quantity(steps, item.unit_places)

        rows.append((
            line.supplier, item.code, item.name, units(line.usable), units(line.on_order),
            f"{line.expected / 10**item.unit_places:.4f}", line.service.text, units(held.level),
            units(held.standby), units(held.cap), units(line.quantity.needed), units(line.units),
            line.packs, line.cost, f"{line.chance_without:.6f}", f"{line.chance_with:.6f}",
            None if line.chance_expires is None else f"{line.chance_expires:.6f}",
            units(line.check.units if line.check else None), "; ".join(line.quantity.reasons),
        ))  # fmt: skip
    about_it = (("day", found.day), ("proposal", found.code))
    return [DataSheet("proposal", about_it, names, tuple(rows)), _none_sheet(found.none)]


def tender_sheets(found: Tender) -> "list[DataSheet]":
    """A row for each item with its call-offs."""
    from stockbook.reports.data import DataSheet, Quantity, columns

    names = columns(
        "item", "name", "expected_use", "up_to:quantity", "there:quantity", "tender:quantity",
        "call_offs", "shelf_life_days:count",
    )  # fmt: skip
    rows = [
        (line.item.code, line.item.name, f"{line.expected / 10**line.item.unit_places:.4f}",
         *(Quantity(steps, line.item.unit_places) for steps in (line.most, line.at, line.quantity)),
         " ".join(quantity_text(part, line.item.unit_places) for part in line.call_offs),
         line.shelf_life)
        for line in found.lines
    ]  # fmt: skip
    about_it = (("day", found.day), ("months", str(found.months)))
    return [DataSheet("tender", about_it, names, tuple(rows)), _none_sheet(found.none)]


def _none_sheet(none: "tuple[object, ...]") -> "DataSheet":
    from stockbook.reports.data import DataSheet, columns

    rows = tuple((getattr(one, "what", None), getattr(one, "why", None)) for one in none)
    return DataSheet("no_basis", (), columns("item", "why"), rows, beside=True)
