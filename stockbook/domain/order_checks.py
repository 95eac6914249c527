"""What a delivery brings otherwise than it was ordered: told, and never a reason to refuse it."""

from collections.abc import Iterator, Sequence

from stockbook.domain.amounts import half_even, quantity_text
from stockbook.domain.deliveries import DeliveryLine
from stockbook.domain.facts import Item
from stockbook.domain.money import Currency
from stockbook.domain.order_facts import SupplyTerms
from stockbook.domain.orders import LineState, OrderState


def doubts(state: LineState, terms: SupplyTerms | None) -> Iterator[str]:
    """What a supplier may object to in an ordered line; a person decides."""
    line, item = state.line, state.item
    if line.price is None:
        yield f"{item.code}: no price is agreed."
    if terms is None:
        return
    if terms.closed:
        yield f"{item.code}: {terms.supplier} sells it no longer, by its terms."
        return
    if line.quantity % terms.pack_quantity:
        packs = f"whole packs of {_units(item, terms.pack_quantity)}"
        yield f"{item.code}: {_units(item, line.quantity)} are no {packs}."
    if line.quantity < terms.least_quantity:
        yield f"{item.code}: the terms say at least {_units(item, terms.least_quantity)}."


def differences(
    before: OrderState, lines: Sequence[DeliveryLine], money: Currency
) -> tuple[str, ...]:
    """Every difference of a delivery's lines from the order they came on, in words."""
    found: list[str] = []
    for line in lines:
        ordered = before.line_of(line.item.code)
        if ordered is None:
            found.append(f"{line.item.code} was not ordered with {before.order.code}.")
            continue
        found += [*_price(ordered, line, money), *_pack(ordered, line)]
    return tuple(dict.fromkeys([*found, *_over(before, lines)]))


def _over(before: OrderState, lines: Sequence[DeliveryLine]) -> Iterator[str]:
    """Items of which more came than was still to come."""
    for state in before.lines:
        came = [line for line in lines if line.item.code == state.item.code]
        more = sum(line.quantity for line in came) - state.missing
        if came and more > 0:
            bonus = min(more, sum(line.bonus_quantity for line in came))
            of_them = f", {_units(state.item, bonus)} of them bonus" if bonus else ""
            yield f"{state.item.code}: {_units(state.item, more)} more than ordered{of_them}."


def _price(ordered: LineState, line: DeliveryLine, money: Currency) -> Iterator[str]:
    """The price of the paid units by the order and by the delivery, where they differ."""
    agreed = ordered.line.price
    if agreed is None or line.price is None:
        return
    wanted = half_even(agreed * line.paid_quantity, ordered.line.quantity)
    if wanted != line.price:
        one = [_each(line.item, total, line.paid_quantity, money) for total in (wanted, line.price)]
        unit = "" if line.item.unit == "each" else f" {line.item.unit}"
        yield (
            f"{line.item.code} lot {line.number}: ordered at {one[0]} for one{unit}, delivered at "
            f"{one[1]}: {money.text(abs(line.price - wanted))} "
            f"{'more' if line.price > wanted else 'less'} for the line."
        )


def _each(item: Item, total: int, quantity: int, money: Currency) -> str:
    """The price of one unit, for reading: rounded to the minor unit."""
    return money.text(half_even(total * 10**item.unit_places, quantity))


def _pack(ordered: LineState, line: DeliveryLine) -> Iterator[str]:
    """A pack of another size than the terms said; a single unit is no pack."""
    wanted, found = ordered.line.pack_quantity, line.pack_quantity
    if wanted and found not in (0, wanted, 10**line.item.unit_places):
        yield (
            f"{line.item.code} lot {line.number}: packs of {_units(line.item, found)}, the terms "
            f"say {_units(line.item, wanted)}."
        )


def _units(item: Item, quantity: int) -> str:
    text = quantity_text(quantity, item.unit_places)
    return text if item.unit == "each" else f"{text} {item.unit}"
