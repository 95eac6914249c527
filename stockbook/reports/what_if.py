"""How a what-if looks: both ways of working side by side, and what the result hangs on."""

from typing import TYPE_CHECKING

from stockbook.domain.amounts import quantity_text, text_from_whole
from stockbook.domain.answers import Site
from stockbook.domain.what_if import STEPS
from stockbook.domain.what_if_answer import COUNT, MONEY, Figure, NewBank, OldBank, WhatIf, money
from stockbook.reports.narrow import fold
from stockbook.reports.tables import heading, plural, table

if TYPE_CHECKING:
    from stockbook.reports.data import DataSheet

COLUMNS = 96
BASIS = (
    "Costs: what the cases counted in the period used and wasted, as the ledger has it; what was "
    "donated counts as nil, what lists used in common is apart. Tariffs and the fixed cost are as "
    "you gave them. What would be bought besides is at its last price.",
    "Highest price of a lens: if every lens of the category were bought, donated ones too. A share "
    "is one of all cases, the others keeping their mix. Money is rounded half to even at the end, "
    "what can be borne down, what is needed up.",
)
"""What the figures rest on, and how they are rounded."""
CAUTION = (
    "It shows what money would bear. Which lens a patient gets, who pays and what is given free is "
    "for the clinicians and the rules of the site; nothing here says so."
)


def what_if_page(found: WhatIf, site: Site) -> str:
    """Both ways of working, what the result hangs on, lens banks, offers, and what it rests on."""
    from stockbook.reports.what_if_offers import offers_part

    title = f"What if, {found.first_day} to {found.last_day} ({site.money.code})"
    parts = [heading(title, site), *_asked(found, site)]
    if found.asked.brings:
        parts += [_figures(found, site), "", _sensitivity(found, site)]
    parts += [_bank(bank, site) for bank in found.banks]
    parts += [offers_part(found, site)] if found.offers else []
    told = (*_told(found, site), *(BASIS if found.asked.brings else BASIS[:1]), CAUTION)
    parts += [_prose(line) for line in told]
    parts.append(f"Last entry {found.last_entry}, checksum {found.checksum}")
    return "\n".join(parts)


def _prose(text: str) -> str:
    return "\n".join(fold(text, COLUMNS))


def _asked(found: WhatIf, site: Site) -> list[str]:
    """What was taken for how it is, and what was asked to be other."""
    asked, text = found.asked, site.money.text
    now = [f"tariff of {name} {text(amount)}" for name, amount in asked.tariffs.items()]
    now.append(f"fixed cost {text(asked.fixed)}")
    lines = [_prose(f"Now: {', '.join(now)}.")] if asked.brings else []
    if asked.changes:
        lines.append(_prose(f"What if: {', '.join(_changes(found, site))}."))
    return lines


def _changes(found: WhatIf, site: Site) -> list[str]:
    asked, text = found.asked, site.money.text
    words = [f"tariff of {name} {text(amount)}" for name, amount in asked.new_tariffs.items()]
    if asked.new_fixed is not None:
        words.append(f"fixed cost {text(asked.new_fixed)}")
    if asked.cases is not None:
        words.append(plural(asked.cases, "case"))
    words += [f"{name} {quantity_text(share, 2)} % of the cases"
              for name, share in asked.shares.items()]  # fmt: skip
    words += [f"lens of {name} {model}" for name, model in asked.lenses.items()]
    words += [f"price of {code} {text(price)}" for code, (price, _) in asked.prices.items()]
    words += [f"{name} takes {quantity_text(steps, places)} of {item}"
              for (name, item), (steps, places) in asked.kits.items()]  # fmt: skip
    return words


def _figures(found: WhatIf, site: Site) -> str:
    if not found.asked.changes:
        now = [(_label(one), one.category, _text(one, one.now, site)) for one in found.figures]
        return table(("", "Category", "Now"), now, "Now", caption="As it is")
    rows = [
        (_label(one), one.category, _text(one, one.now, site), _then(one, site),
         _difference(one, site))
        for one in found.figures
    ]  # fmt: skip
    headers = ("", "Category", "Now", "What if", "Difference")
    return table(headers, rows, "Now,What if,Difference", caption="As it is and what if")


def _label(one: Figure) -> str:
    return capital(one.name)


def capital(words: str) -> str:
    """The words with a capital first letter."""
    return words[:1].upper() + words[1:]


def _text(one: Figure, value: int | None, site: Site) -> str:
    if value is None:
        return one.missing
    if one.kind == MONEY:
        return site.money.text(value)
    return str(value) if one.kind == COUNT else quantity_text(value, 2)


def _then(one: Figure, site: Site) -> str:
    if one.then is None and one.missing_then:
        return one.missing_then
    return _text(one, one.then, site)


def _difference(one: Figure, site: Site) -> str:
    if not one.difference:
        return ""
    return ("+" if one.difference > 0 else "") + _text(one, one.difference, site)


def _sensitivity(found: WhatIf, site: Site) -> str:
    """The result of the period if one thing alone were so much more or less."""
    headers = ("Result if this changes by", *(f"{step:+d} %" if step else "0 %" for step in STEPS))
    rows = [
        (capital(f"{one.what}, {one.category}" if one.category else one.what),
         *(site.money.text(money(result)) for result in one.results))
        for one in found.sensitivity
    ]  # fmt: skip
    return table(headers, rows, ",".join(headers[1:]), caption="What the result hangs on")


def _bank(bank: NewBank, site: Site) -> str:
    """What filling the bank costs once, and what becomes of the old one."""
    named = ", ".join(bank.categories)
    lines = [
        f"Once: a bank of {plural(bank.size, 'lens')} of {bank.model} for {named} and whoever uses "
        f"it now; {plural(bank.add, 'lens')} to buy, {site.money.text(bank.cost)} (power by power: "
        f"stockbook lens bank --model {bank.model} --size {bank.size})."
    ]
    return "\n".join(["", *map(_prose, [*lines, *(_old(one, site) for one in bank.old)])])


def _old(old: OldBank, site: Site) -> str:
    there = f"{plural(old.lenses, 'lens')} of {old.model} worth {site.money.text(old.value)}"
    if old.stays:
        return f"Of the old one {there} stay in use by {', '.join(old.stays)}."
    weeks = old.tenths_of_a_week
    lasts = f" in {text_from_whole(weeks, 1)} weeks as they are used now" if weeks else ""
    return f"Stranded: {there}, unless they are used up first{lasts}, or sent back."


def _told(found: WhatIf, site: Site) -> list[str]:
    """What a reader has to know of these figures."""
    lines = []
    if not found.is_over:
        lines.append(
            f"The period is not over: the cases are those until {found.day}, the fixed cost is the "
            "whole period's. Ask about a full one (--month YYYY-MM)."
        )
    if found.not_counted:
        lines.append(
            f"No case of {', '.join(found.not_counted)} was counted in the period; no cost of one "
            "is known, so they are left out."
        )
    lines += [
        f"{name}: the lens asked about changes nothing; its cases took it already, or took none."
        for name in found.same_lens
    ]
    lines += _told_of_tariffs(found, site) if found.asked.brings else []
    if found.at_dearest:
        lines.append(
            f"{plural(found.at_dearest, 'lens')} of a power that the new model does not have: "
            "reckoned at its dearest price."
        )
    return lines


def _told_of_tariffs(found: WhatIf, site: Site) -> list[str]:
    below = [
        f"{kind.category}: a case costs {site.money.text(money(kind.cost))}, more than its tariff "
        f"{site.money.text(money(kind.tariff))}; others bear the rest."
        for kind in found.below_cost
    ]
    return below + [
        f"{name}: a case leaves no less over than other cases do, so that more of them make the "
        "result no worse."
        for name in found.no_dearer
    ]


def what_if_sheets(found: WhatIf) -> "list[DataSheet]":
    """Figures in money, figures in cases, what the result hangs on, lens banks, offers."""
    from stockbook.reports.what_if_offers import offers_sheet

    sheets = []
    if found.asked.brings:
        sheets = [
            _figures_sheet(found, "what_if", MONEY), _figures_sheet(found, "what_if_cases", ""),
            _sensitivity_sheet(found),
        ]  # fmt: skip
    if found.banks:
        sheets.append(_banks_sheet(found))
    if found.offers:
        sheets.append(offers_sheet(found))
    return sheets


def _about(found: WhatIf) -> tuple[tuple[str, str], ...]:
    return (
        ("first_day", found.first_day), ("last_day", found.last_day),
        ("last_entry", str(found.last_entry)), ("checksum", found.checksum),
    )  # fmt: skip


def _figures_sheet(found: WhatIf, name: str, kind: str) -> "DataSheet":
    """Money in its minor unit; the rest in cases or, where its name says so, hundredths."""
    from stockbook.reports.data import DataSheet, columns

    chosen = [one for one in found.figures if (one.kind == MONEY) == (kind == MONEY)]
    cell = kind or COUNT
    rows = [(_stable(one), one.category, one.now, one.then, one.difference) for one in chosen]
    names = columns("figure", "category", f"now:{cell}", f"what_if:{cell}", f"difference:{cell}")
    return DataSheet(name, _about(found), names, tuple(rows))


def _stable(one: Figure) -> str:
    words = one.name.replace(",", "").replace("-", " ").replace(" ", "_")
    return words if one.kind in (MONEY, COUNT) else f"{words}_in_hundredths"


def _sensitivity_sheet(found: WhatIf) -> "DataSheet":
    from stockbook.reports.data import DataSheet, columns

    steps = [f"{'less' if step < 0 else 'more'}_{abs(step)}:money" if step else "as_asked:money"
             for step in STEPS]  # fmt: skip
    rows = [(one.what, one.category, *map(money, one.results)) for one in found.sensitivity]
    names = columns("changes", "category", *steps)
    return DataSheet("result_if_changed_by_per_cent", _about(found), names, tuple(rows))


def _banks_sheet(found: WhatIf) -> "DataSheet":
    from stockbook.reports.data import DataSheet, columns

    rows = [
        (bank.model, ", ".join(bank.categories), bank.size, bank.add, bank.cost, old.model,
         old.lenses, old.value, ", ".join(old.stays))
        for bank in found.banks for old in bank.old
    ]  # fmt: skip
    names = columns(
        "new_model", "categories", "bank:count", "to_buy:count", "cost:money", "old_model",
        "old_lenses:count", "old_value:money", "old_stays_in_use_by",
    )  # fmt: skip
    return DataSheet("lens_banks", _about(found), names, tuple(rows))
