"""How kits look: all of them, one explained line by line, a new version beside the old one."""

from collections.abc import Iterator, Mapping, Sequence

from stockbook.domain.answers import Site
from stockbook.domain.facts import Item, Kit, KitLine
from stockbook.domain.kit_versions import unversioned
from stockbook.domain.kit_view import KitChange, Kits, KitView, ShownLine, why
from stockbook.reports.amounts import amount
from stockbook.reports.data import DataSheet, Quantity, columns
from stockbook.reports.tables import heading, plural, table


def kits_page(kits: Kits, site: Site) -> str:
    """Every version of every kit in one line."""
    rows = [
        (
            unversioned(kit.code), kit.first_day or "the beginning",
            "differences" if kits.differs(kit) else "whole", len(kit.lines),
            line_words(kit.lines, kits.items) if kits.differs(kit) else "",
        )
        for kit in kits.kits
    ]  # fmt: skip
    if not rows:
        return f"{heading('Kits', site)}\nNo kit yet. Import kits, or see import kits --template."
    page = table(("Kit", "From", "Holds", "Lines", "Differences"), rows, "Lines")
    return f"{heading('Kits', site)}\n{page}"


def line_words(lines: Sequence[KitLine], items: Mapping[str, Item]) -> str:
    """Lines in words, one after another."""
    return "; ".join(_words(line, items) for line in lines)


def _words(line: KitLine, items: Mapping[str, Item]) -> str:
    what = " or ".join(line.items) or "lens"
    if not line.quantity:
        return f"no {what}"
    kind = "" if line.kind in ("always", "lens") else f" ({line.kind} {line.requirement or ''}"
    return f"{what} {_amount(line, items)}" + (f"{kind.rstrip()})" if kind else "")


def _amount(line: KitLine, items: Mapping[str, Item]) -> str:
    return amount(items[line.items[0]], line.quantity) if line.items else str(line.quantity)


def kit_page(view: KitView, site: Site) -> str:
    """What, how much, why, and what it costs; then what every case draws."""
    asked = [f"lens {view.lens_model}"] if view.lens_model else []
    asked += [f"theatre {view.theatre}"] if view.theatre else []
    title = ", ".join([f"Kit {view.code} on {view.day}", *asked])
    rows = [_row(one, view, site) for one in view.lines]
    rows.append(("", "every case draws", "", "", "", site.money.text(view.total)))
    headers = ("Item", "Name", "Units", "Why", "Each", "Cost")
    parts = [heading(title, site), _made_of(view.layers), table(headers, rows, "Units,Each,Cost")]
    if view.unpriced:
        parts.append(f"Without a price, so not in the sum: {', '.join(view.unpriced)}.")
    return "\n".join(parts)


def _made_of(layers: Sequence[Kit]) -> str:
    words = (f"{unversioned(k.code)} from {k.first_day or 'the beginning'}" for k in layers)
    return f"Made of: {', then '.join(words)}."


def _row(one: ShownLine, view: KitView, site: Site) -> tuple[str, ...]:
    costs = (one.unit_cost, one.cost if one.is_drawn else None)
    names = [item.name for item in one.items]
    reason = why((one.line, one.source)) + ("" if one.fits else " (not here)")
    return (
        " or ".join(one.line.items) or "(lens)", " or ".join(names[:1]),
        _amount(one.line, view.items), reason,
        *("" if cost is None else site.money.text(cost) for cost in costs),
    )  # fmt: skip


def change_page(change: KitChange) -> str:
    """What a new version has otherwise than the one that held before."""
    before = change.before
    since = (before.first_day or "the beginning") if before else ""
    words = f"after the one from {since}" if before else "its first"
    title = f"Kit {unversioned(change.kit.code)}, a version from {change.kit.first_day}, {words}:"
    lines = [
        *(f"  - {_words(line, change.items)}" for line in change.gone),
        *(f"  + {_words(line, change.items)}" for line in change.added),
    ]
    return "\n".join([title, *lines, f"It then has {plural(len(change.kit.lines), 'line')}."])


def change_question(change: KitChange) -> str:
    """What a person has to agree to."""
    return f"Record this version of kit {unversioned(change.kit.code)}?"


def kit_rows_sheet(kits: Sequence[Kit], items: Mapping[str, Item]) -> DataSheet:
    """Versions of kits in the columns of the import, so that they can be taken in again."""
    names = columns(
        "procedure", "category", "surgeon", "line:count", "kind", "item", "quantity:quantity",
        "requirement", "first_day:day",
    )  # fmt: skip
    rows = [row for kit in kits for row in _kit_rows(kit, items)]
    return DataSheet("kits", (), names, tuple(rows))


def _kit_rows(kit: Kit, items: Mapping[str, Item]) -> Iterator[tuple[object, ...]]:
    for number, line in enumerate(kit.lines, start=1):
        for code in line.items or (None,):
            places = items[code].unit_places if code else 0
            yield (
                kit.procedure, kit.category, kit.surgeon, number, line.kind, code,
                Quantity(line.quantity, places), line.requirement, kit.first_day,
            )  # fmt: skip


def kit_lines_sheet(view: KitView) -> DataSheet:
    """One kit explained: a row for each line, alternatives in order."""
    names = columns(
        "items", "quantity:quantity", "kind", "requirement", "kit", "why", "applies",
        "unit_cost:money", "cost:money",
    )  # fmt: skip
    rows = [
        (
            " ".join(x.line.items) or None,
            Quantity(x.line.quantity, x.items[0].unit_places if x.items else 0), x.line.kind,
            x.line.requirement, x.source, why((x.line, x.source)), "yes" if x.fits else "no",
            x.unit_cost, x.cost,
        )
        for x in view.lines
    ]  # fmt: skip
    about = (("kit", view.code), ("day", view.day))
    return DataSheet("kit_lines", about, names, tuple(rows))
