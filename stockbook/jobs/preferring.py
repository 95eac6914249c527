"""Which supplier an item is ordered from where several sell it: one at most."""

from collections.abc import Collection, Sequence
from dataclasses import replace

from stockbook.domain.order_facts import SupplyTerms
from stockbook.domain.rows import Row
from stockbook.jobs.reading import Reading
from stockbook.ledger.facts import all_of


def one_preferred(
    reading: Reading, terms: Sequence[tuple[Row, SupplyTerms]], unsaid: Collection[str]
) -> list[SupplyTerms]:
    """The terms of a file, each item with one preferred supplier at most; two are a fault.

    Terms that do not say (`unsaid`) are preferred where no other supplier of the item is.
    """
    taken = _by_item(reading, {one.code for _, one in terms}, {one.item for _, one in terms})
    for row, one in terms:
        if one.preferred and one.code not in unsaid:
            other = taken.setdefault(one.item, (one.supplier, f"in row {row.number}"))
            if other[0] != one.supplier:
                _fault(reading, row, one, *other)
    found = []
    for row, one in terms:
        if one.code in unsaid:
            first, _ = taken.setdefault(one.item, (one.supplier, f"in row {row.number}"))
            one = replace(one, preferred=first == one.supplier)
        found.append(one)
    return found


def _by_item(
    reading: Reading, given: Collection[str], items: Collection[str]
) -> dict[str, tuple[str, str]]:
    """Each item's preferred supplier by the book, where the file does not say otherwise."""
    return {
        one.item: (one.supplier, "in the book")
        for one in all_of(reading.db, SupplyTerms, item=sorted(items))
        if one.preferred and one.code not in given
    }


def _fault(reading: Reading, row: Row, one: SupplyTerms, other: str, where: str) -> None:
    reading.faults.add(
        row, "preferred",
        f"preferred: wanted one preferred supplier of {one.item}; besides {one.supplier} it is "
        f"{other} ({where}). Say no for one of the two, each with its row in this file",
    )  # fmt: skip
