"""The cases of the year ahead: those on the lists, those still to be scheduled, what kits state."""

from collections import defaultdict
from collections.abc import Sequence

from stockbook.domain.calendar import PlannedSpan
from stockbook.domain.case_history import (
    DAYS_OF_WEEK,
    History,
    by_weekday,
    cases_by_week,
    monday_of,
    notice_of,
    weeks_between,
)
from stockbook.domain.days import days_after, days_between
from stockbook.domain.facts import Kit
from stockbook.domain.forecasts import Estimate, Shares, Volume
from stockbook.forecast import estimates
from stockbook.forecast.calendar import planned_on
from stockbook.forecast.coming import Coming
from stockbook.forecast.outlook import coming_of, weekday_shares

YEAR = 365
WHEN_RATE = 0.10
"""How often a requirement is believed to come up before the site has its own cases: ours."""


def coming_year(
    history: History, kinds: Sequence[str], day: str, plan: Sequence[PlannedSpan]
) -> tuple[Coming, tuple[Estimate | Shares, ...]]:
    """The cases of the coming year, on the lists and not yet, and the estimates behind them."""
    categories = tuple(dict.fromkeys(kind.split("/")[1] for kind in kinds))
    weeks = weeks_between(history.since, day)
    weeks = weeks or ([monday_of(day)] if history.done else [])
    volumes = [estimates.volume(c, cases_by_week(history.done, c, weeks)) for c in categories]
    mixes = [_mix(history, kinds, category) for category in categories]
    curve = estimates.scheduling_curve(notice_of(history.done))
    missed = estimates.not_happening(history.cancelled, len(history.done) + history.cancelled)
    scheduled = [[0.0] * len(kinds) for _ in range(YEAR)]
    for case in history.listed:
        ahead = days_between(day, case.day)
        if ahead < YEAR:
            scheduled[ahead][kinds.index(case.kind)] += 1
    usual = [v.mean.result if isinstance(v, Volume) else 0.0 for v in volumes]
    not_yet = _not_yet(history, day, usual, curve, plan, categories, scheduled, kinds)
    variation = max((v.variation.result for v in volumes if isinstance(v, Volume)), default=0.02)
    rows = [[m.share(k) if k in m.names else 0.0 for k in kinds] for m in mixes]
    means = [v.mean for v in volumes if isinstance(v, Volume)]
    seen: tuple[Estimate | Shares, ...] = (*means, missed, curve, *mixes)
    return coming_of(scheduled, not_yet, rows, missed.result, variation), seen


def _mix(history: History, kinds: Sequence[str], category: str) -> Shares:
    """The kinds of a category's cases, those on the lists counted as well."""
    own = [kind for kind in kinds if kind.split("/")[1] == category]
    cases = (*history.done, *history.listed)
    counts = {kind: float(sum(case.kind == kind for case in cases)) for kind in own}
    found = estimates.mix(f"kinds of {category} cases", counts)
    return found if isinstance(found, Shares) else Shares(category, (), (), "", 0, (), ())


def _not_yet(
    history: History, day: str, usual: Sequence[float], curve: Shares,
    plan: Sequence[PlannedSpan], categories: Sequence[str], scheduled: list[list[float]],
    kinds: Sequence[str],
) -> list[list[float]]:  # fmt: skip
    """Expected cases by day and category that no list has yet; a plan overrides what is usual."""
    weekdays = weekday_shares(by_weekday(history.done))
    monday = monday_of(day)
    rows = []
    for ahead in range(YEAR):
        when = days_after(day, ahead)
        weeks = days_between(monday, monday_of(when)) // DAYS_OF_WEEK
        unseen = 1 - estimates.visible_share(curve, weeks)
        share = weekdays[days_between(monday_of(when), when)]
        row = []
        for category, volume in zip(categories, usual, strict=True):
            planned = planned_on(plan, category, when)
            listed = sum(
                scheduled[ahead][n] for n, k in enumerate(kinds) if k.split("/")[1] == category
            )
            row.append(volume * share * unseen if planned is None else max(0.0, planned - listed))
        rows.append(row)
    return rows


def stated_amounts(kits: Sequence[Kit]) -> dict[str, list[tuple[int, float]]]:
    """What kits laid over one another say that a case takes of each item, each with its chance.

    Of alternatives the first counts; the others are learned from the cases. Lenses are forecast
    by their powers.

    >>> from stockbook.domain.facts import KitLine
    >>> line = KitLine("always", ("KNIFE",), 1)
    >>> stated_amounts([Kit("P/paid", "P", "paid", None, (line,))])
    {'KNIFE': [(1, 1.0)]}
    """
    stated: dict[str, list[tuple[int, float]]] = {}
    for kit in kits:
        found: dict[str, list[tuple[int, float]]] = defaultdict(list)
        for line in kit.lines:
            if line.kind in _STATED:
                found[line.items[0]].append((line.quantity, _STATED[line.kind]))
        stated |= {item: _together(amounts) for item, amounts in found.items()}
    return stated


_STATED = {
    "always": 1.0, "one-of": 1.0, "with-machine": 1.0, "when": WHEN_RATE, "with-lens": WHEN_RATE,
}  # fmt: skip
"""How often a line of a kind is drawn, as far as the kit says."""


def _together(amounts: list[tuple[int, float]]) -> list[tuple[int, float]]:
    """Several lines of one item: sure ones added up, the chance ones beside them."""
    sure = sum(quantity for quantity, chance in amounts if chance == 1.0)
    rest = [(quantity, chance) for quantity, chance in amounts if chance < 1.0]
    left = 1.0 - sum(chance for _, chance in rest)
    made = [(sure + quantity, chance) for quantity, chance in rest]
    return [*made, (sure, left)] if sure else made
