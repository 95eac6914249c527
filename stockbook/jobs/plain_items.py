"""Use outside patients' cases, week by week: lists, services, and what was used before the book."""

import sqlite3
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from stockbook.domain.case_history import monday_of, weeks_between
from stockbook.domain.days import days_after, last_day_of_month
from stockbook.domain.facts import Item, JudgedUse, PastUse
from stockbook.domain.forecasts import NoBasis, PlainDemand
from stockbook.domain.foresight import Spiked
from stockbook.forecast.intermittent import plain_demand, spikes, with_shortages
from stockbook.forecast.plain_use import monthly_demand
from stockbook.jobs.forecast_ground import Ground
from stockbook.jobs.forecast_history import HISTORY_DAYS
from stockbook.ledger.as_of import first_day
from stockbook.ledger.facts import all_of
from stockbook.ledger.plain_use import plain_uses, stock_changes


@dataclass(frozen=True, slots=True)
class PlainUse:
    """An item's use of a week outside patients' cases."""

    demand: PlainDemand
    weeks: Mapping[str, int]


def plain_use_of(
    db: sqlite3.Connection, ground: Ground, items: Sequence[Item]
) -> tuple[dict[str, PlainUse | NoBasis], list[Spiked]]:
    """By item its use of a week, or why there is none; and weeks far above all others.

    Weeks that ran out count as what they probably wanted; a week that stands out counts when a
    person has judged it usual.
    """
    weeks = _weeks(db, ground.day)
    series = _series(db, ground, weeks)
    judged = {one.code: one for one in all_of(db, JudgedUse)}
    known = {item.code: item for item in items}
    short = _weeks_out(db, [code for code in series if code in known], weeks, ground.day)
    found: dict[str, PlainUse | NoBasis] = {}
    out: list[Spiked] = []
    for code in sorted(series.keys() & known.keys()):
        used = [series[code].get(week, 0) for week in weeks]
        marks = {week: judged.get(f"{code}/{week}") for week in weeks}
        kept = [n for n, week in enumerate(weeks) if not _unusual(marks[week])]
        whole = [used[n] for n in kept]
        usual = {n for n, at in enumerate(kept) if _usual(marks[weeks[at]])}
        filled = with_shortages(whole, {kept.index(n) for n in short[code] if n in kept})
        made = plain_demand(code, filled, usual)
        out += [
            Spiked(known[code], weeks[kept[one.period]], used[kept[one.period]])
            for one in spikes(filled) if one.period not in usual
        ]  # fmt: skip
        found[code] = PlainUse(made, series[code]) if isinstance(made, PlainDemand) else made
    return _before_the_book(db, ground, known, found), out


def _weeks(db: sqlite3.Connection, day: str) -> list[str]:
    """The whole weeks the book has had, of the last year."""
    began = first_day(db) or day
    return weeks_between(max(began, days_after(day, -HISTORY_DAYS)), day)


def _usual(judged: JudgedUse | None) -> bool:
    return judged is not None and judged.usual


def _unusual(judged: JudgedUse | None) -> bool:
    return judged is not None and not judged.usual


def _series(
    db: sqlite3.Connection, ground: Ground, weeks: Sequence[str]
) -> dict[str, dict[str, int]]:
    """By item what was used in which week; a replaced item's use is the new one's."""
    found: dict[str, dict[str, int]] = defaultdict(dict)
    if not weeks:
        return found
    for item, day, quantity in plain_uses(db, weeks[0], ground.day):
        week, code = monday_of(day), ground.replaced.get(item, item)
        if week in weeks:
            found[code][week] = found[code].get(week, 0) + quantity
    return found


def _weeks_out(
    db: sqlite3.Connection, items: Sequence[str], weeks: Sequence[str], day: str
) -> dict[str, set[int]]:
    """By item the numbers of weeks in which nothing of it lay anywhere on some day."""
    found: dict[str, set[int]] = {item: set() for item in items}
    there: dict[str, int] = defaultdict(int)
    number = {week: n for n, week in enumerate(weeks)}
    for item, when, change in stock_changes(db, items, day) if items else []:
        there[item] += change
        if there[item] <= 0 and monday_of(when) in number:
            found[item].add(number[monday_of(when)])
    return found


def _before_the_book(
    db: sqlite3.Connection, ground: Ground, known: Mapping[str, Item],
    found: dict[str, PlainUse | NoBasis],
) -> dict[str, PlainUse | NoBasis]:  # fmt: skip
    """Items that no case and no kit uses lean on their months before the book."""
    in_cases = {code for _, code in ground.taken} | {
        code for stated in ground.stated.values() for code in stated
    }
    months: dict[str, list[PastUse]] = defaultdict(list)
    for one in all_of(db, PastUse):
        months[ground.replaced.get(one.item, one.item)].append(one)
    for code, uses in months.items():
        if code in known and code not in in_cases and not isinstance(found.get(code), PlainUse):
            days = sum(_days_of(one.month) for one in uses)
            made = monthly_demand(code, [one.quantity for one in uses], Fraction(days, len(uses)))
            if isinstance(made, PlainDemand):
                found[code] = PlainUse(made, {})
    return found


def _days_of(month: str) -> int:
    return int(last_day_of_month(int(month[:4]), int(month[5:]))[8:])
