"""How costs look: one case in full, a period by category with its proof."""

from stockbook.domain.answers import Site
from stockbook.domain.costs import CaseCost, CategoryCost, CostLine, PeriodCost, Proof
from stockbook.domain.lenses import power_text
from stockbook.domain.list_shares import LIST, SERVICE, ListShare
from stockbook.domain.places import COMMON
from stockbook.reports.amounts import amount, lot_name
from stockbook.reports.full_cost import FEW, few_words, full_lines, full_rows, minutes_notes
from stockbook.reports.published_costs import published_lines
from stockbook.reports.tables import heading, plural, table

CASE_HEADERS = ("Class", "Item", "Lot", "How known", "Units", "Value", "Shadow", "Note")


def case_page(cost: CaseCost, site: Site) -> str:
    """Every line of one case, then what was wasted on it."""
    case = cost.case
    title = f"Cost of case {case.code} ({site.money.code})"
    parts = [heading(title, site), _about(cost)]
    if not cost.lines:
        parts.append("Nothing was used yet.")
    else:
        parts.append(_case_table(cost, site))
    if cost.share is not None:
        parts.append(_share(cost.share, site))
    parts += full_lines(cost, site)
    if cost.is_staged:
        parts.append("Not finished: units of this case still lie on the trolley.")
    return "\n".join(parts)


def _about(cost: CaseCost) -> str:
    case = cost.case
    where = ", ".join(words for words in (cost.day, cost.theatre) if words)
    if case.kind == SERVICE:
        return f"used in common by the service {case.list}"
    if case.kind == LIST:
        return f"{where}, used in common by its list"
    lens = f", lens {case.lens_model} {power_text(case.power)}" if case.power is not None else ""
    return (
        f"{where}, {case.procedure}, {case.category}, {case.eye} eye{lens}, "
        f"reference {case.patient}"
    )


def _share(share: ListShare, site: Site) -> str:
    """A case's part of its list's common use, beside its own lines."""
    money = site.money
    return (
        f"Besides, its part of what list {share.list} used in common: {money.text(share.part)} of "
        f"{money.text(share.whole)}, shared by {share.key} ({share.cases})."
    )


def _case_table(cost: CaseCost, site: Site) -> str:
    money = site.money
    used = [_line(line, site) for line in cost.lines if not line.wasted]
    used.append(("", "USED", "", "", "", money.text(cost.used), "", ""))
    wasted = [_line(line, site) for line in cost.lines if line.wasted]
    if wasted:
        wasted.append(("", "WASTED", "", "", "", money.text(cost.wasted), "", ""))
    return table(CASE_HEADERS, [*used, *wasted], "Units,Value,Shadow", caption="Lot by lot")


def _line(line: CostLine, site: Site) -> tuple[str, ...]:
    shadow = site.money.text(line.shadow) if line.shadow else ""
    notes = [line.lot.terms] if line.lot.terms != "bought" else []
    notes += ["provisional price"] if line.lot.provisional else []
    notes += [line.reason] if line.reason else []
    return (
        line.item.item_class, line.item.code, lot_name(line.lot),
        "seen" if line.seen else "presumed", amount(line.item, line.quantity),
        site.money.text(line.value), shadow, ", ".join(notes),
    )  # fmt: skip


def period_page(cost: PeriodCost, site: Site) -> str:
    """A column for each category and one for common use, then the proof."""
    title = f"Cost by category, {cost.first_day} to {cost.last_day} ({site.money.code})"
    columns = cost.categories
    rows = [
        ("Cases", *(str(c.cases) if c.category != "common" else "" for c in columns)),
        ("Used", *(site.money.text(c.used) for c in columns)),
        *(_figure(words, name, columns, site) for words, name in _FIGURES),
        *_class_rows(columns, site),
        *_service_rows(cost, site),
        ("Wasted, apart", *(site.money.text(c.wasted) for c in columns)),
        ("Earlier cases", *(site.money.text(c.earlier_cases) for c in columns)),
        ("All that ended here", *(site.money.text(c.total) for c in columns)),
        *full_rows(cost, site),
        ("Donated or in kind, at shadow value", *(site.money.text(c.shadow) for c in columns)),
    ]
    names = [c.category for c in columns]
    page = table(("", *names), rows, ",".join(names), caption="By category")
    notes = "\n".join(_notes(cost, site))
    beside = published_lines(cost)
    return "\n".join(
        [heading(title, site), page, notes, "", beside, "", proof_lines(cost.proof, site)]
    )


def _service_rows(cost: PeriodCost, site: Site) -> list[tuple[str, ...]]:
    """What services used in common, below the category *common*."""
    return [
        (f"of it for {word}", *(
            site.money.text(value) if c.category == COMMON else "" for c in cost.categories
        ))
        for word, value in sorted(cost.services.items())
    ]  # fmt: skip


_FIGURES = (
    ("Mean of a case", "mean"),
    ("Median", "median"),
    ("Lowest", "lowest"),
    ("Highest", "highest"),
)


def _figure(
    words: str, name: str, columns: tuple[CategoryCost, ...], site: Site
) -> tuple[str, ...]:
    values = [getattr(column, name) for column in columns]
    return (words, *("" if v is None else site.money.text(v) for v in values))


def _class_rows(columns: tuple[CategoryCost, ...], site: Site) -> list[tuple[str, ...]]:
    """Each class with its value and its share of what the category used."""
    classes = sorted({name for column in columns for name in column.by_class})
    return [
        (f"of it {name}", *(_class_cell(column, name, site) for column in columns))
        for name in classes
    ]


def _class_cell(column: CategoryCost, name: str, site: Site) -> str:
    value = column.by_class.get(name)
    return "" if value is None else f"{site.money.text(value)} ({column.share(name)} %)"


def _notes(cost: PeriodCost, site: Site) -> list[str]:
    notes = [
        "Donated and in-kind stock counts as nil above; its shadow value is shown and never added.",
        *minutes_notes(cost.full),
    ]
    few = [c.category for c in cost.categories if 0 < c.cases < FEW]
    if few:
        notes.append(few_words(few))
    if cost.provisional:
        notes.append(f"Provisional prices in these figures: {site.money.text(cost.provisional)}.")
    if cost.unfinished:
        notes.append(f"Not finished: {plural(len(cost.unfinished), 'case')} on a trolley.")
    return notes


def proof_lines(proof: Proof, site: Site) -> str:
    """Rule 5 in money, to the minor unit."""
    rows = [
        ("opening", proof.opening), ("+ received", proof.received),
        ("+ opening stock", proof.opening_stock), ("+ made", proof.made), ("- used", -proof.used),
        ("- wasted", -proof.wasted), ("- sent back", -proof.sent_back),
        ("+/- differences", proof.differences), ("= should be on hand", proof.expected),
        ("on hand", proof.on_hand),
    ]  # fmt: skip
    shown = table(
        ("Proof", site.money.code), [(n, site.money.text(v)) for n, v in rows], site.money.code,
        caption="Proof", sums=2,
    )  # fmt: skip
    verdict = "The proof holds." if proof.holds else "THE PROOF FAILS: run 'stockbook book verify'."
    return f"{shown}\n{verdict} Last entry {proof.last_entry}, checksum {proof.checksum}"
