"""Whether lists can be served, as data; the names of the columns are kept."""

from typing import Any

from stockbook.domain.days import NO_EXPIRY
from stockbook.domain.ready import Lack, Ready, ReadyCase
from stockbook.reports.data import DataSheet, Quantity, columns
from stockbook.reports.ready import lens_draws, nearest, state


def ready_sheets(found: Ready) -> list[DataSheet]:
    """The verdict in one row, a row for each case, a row for each item that is missing."""
    answer = "yes" if found.can_be_served else "no"
    verdict = (found.asked, found.day, answer, len(found.patients), found.unready,
               found.last_entry, found.checksum, len(found.unready_lists))  # fmt: skip
    names = columns(
        "asked", "day:day", "can_be_served", "cases:count", "not_ready:count", "last_entry:count",
        "checksum", "lists_not_ready:count",
    )  # fmt: skip
    return [
        DataSheet("verdict", (), names, (verdict,)),
        DataSheet("cases", (), _CASES, tuple(_case(one, found) for one in found.cases)),
        DataSheet("missing", (), _MISSING, tuple(_lack(one, found) for one in found.lacks)),
    ]


_CASES = columns(
    "list", "position:count", "case", "procedure", "category", "eye", "lens_model", "power:power",
    "lot", "serial", "expiry:day", "place", "issued", "ready", "state",
    "kind",
)  # fmt: skip
_MISSING = columns(
    "item", "name", "wanted:quantity", "usable:quantity", "short:quantity", "unit", "missing_as",
    "cases", "nearest_act", "fetch_from", "words",
)  # fmt: skip


def _case(one: ReadyCase, found: Ready) -> tuple[Any, ...]:
    lens = next(iter(lens_draws(one, found)), None)
    lot: tuple[Any, ...] = (None, None, None, None)
    if lens is not None:
        expires = None if lens.lot.expires_on == NO_EXPIRY else lens.lot.expires_on
        lot = (lens.lot.number, lens.lot.serial, expires, lens.place)
    case = one.case
    return (
        case.list, case.position or None, case.code, case.procedure, case.category, case.eye,
        case.lens_model, case.power, *lot, _yes(one.waiting.issued), _yes(one.is_ready),
        state(one, found), case.kind,
    )  # fmt: skip


def _yes(flag: bool) -> str:  # noqa: FBT001 a word for a flag
    return "yes" if flag else "no"


def _lack(lack: Lack, found: Ready) -> tuple[Any, ...]:
    item = found.items[lack.item]
    amounts = [Quantity(n, item.unit_places) for n in (lack.wanted, lack.usable, lack.short)]
    first = lack.acts[0]
    return (
        item.code, item.name, *amounts, item.unit, " ".join(lack.kinds), " ".join(lack.cases),
        first.kind, first.from_place if first.quantity and first.to_place else None,
        nearest(lack, found),
    )  # fmt: skip
