"""Estimates from the site's own history, each with what was believed before.

All are means of a belief updated by counts: a prior worth so many cases, weeks or receipts, and
what was seen. The denominator of a rate is cases, so that weeks without stock hide nothing.
"""

from collections.abc import Mapping, Sequence

from stockbook.domain.forecasts import Estimate, NoBasis, Shares, Volume
from stockbook.forecast.distributions import Distribution, beta_binomial
from stockbook.forecast.shapes import leaning, normal_shape

KIT_WEIGHT = 20.0
SPOILED, SPOILED_WEIGHT = 0.00662, 150.0
NOT_HAPPENING, NOT_HAPPENING_WEIGHT = 0.06, 50.0
VARIATION, VARIATION_WEIGHT = 0.02, 26.0
MIX_WEIGHT = 20.0
VOLUME_WEIGHT = 2.0
NOTICE_WEIGHT = 40.0
RECEIPTS_WEIGHT = 4.0
NOTICE = (0.10, 0.10, 0.20, 0.25, 0.20, 0.15)
"""The share of cases scheduled in their own week, by its first day, and 1, 2, 3 and 4 weeks
before; ours, until the site has its own."""

LEAD_SCATTER = 0.35
"""A quoted time is believed to scatter by this share of itself."""


def learned(
    what: str, prior: float, source: str, weight: float, count: float, cases: float
) -> Estimate:
    """A rate as the mean of a Beta posterior: (weight * prior + count) / (weight + cases)
    (A. Gelman and others, Bayesian Data Analysis, 3rd ed., equation 2.16).

    A prior of 0.05 worth 20 cases, and 1.5 in 30 since: still 2.5 in 50.

    >>> learned("dye", 0.05, "kit", 20, 1.5, 30).result
    0.05
    """
    observed = count / cases if cases else prior
    result = (weight * prior + count) / (weight + cases)
    return Estimate(what, prior, source, weight, observed, cases, result)


def line_rate(what: str, stated: float, count: float, cases: float) -> Estimate:
    """The chance that a case needs a conditional line; the kit's stated rate is worth 20 cases.

    >>> line_rate("hooks", 0.10, 8, 60).result
    0.125
    """
    return learned(what, stated, "the kit's stated rate", KIT_WEIGHT, count, cases)


def rate_spread(estimate: Estimate, cases: int) -> Distribution:
    """How many of the next cases need it when the rate is known only as well as it is estimated.

    The rate 0.05 from 50 cases: at most 3 of the next 30 with 0.8988 (computed once with scipy).

    >>> round(rate_spread(line_rate("dye", 0.05, 1.5, 30), 30).at_most(3), 10)
    0.8988102353
    """
    certainty = estimate.weight + estimate.seen
    return beta_binomial(cases, estimate.result * certainty, (1 - estimate.result) * certainty)


def share_of(count: float, whole: float) -> float:
    """A plain share; nothing of nothing.

    >>> share_of(3, 4), share_of(0, 0)
    (0.75, 0.0)
    """
    return count / whole if whole else 0.0


def spoilage(what: str, count: float, units: float) -> Estimate:
    """The chance that a unit is spoiled and a second one taken; the published 6.62 in 1,000
    lenses (Semin Ophthalmol 2024, doi 10.1080/08820538.2024.2354692) is worth 150 units.

    >>> spoilage("lens", 0, 0).result
    0.00662
    """
    source = "6.62 in 1,000 implantations, Semin Ophthalmol 2024"
    return learned(what, SPOILED, source, SPOILED_WEIGHT, count, units)


def not_happening(count: float, scheduled: float) -> Estimate:
    """The share of scheduled cases that do not happen; 6 in 100 is worth 50 cases.

    >>> not_happening(12, 150).result
    0.075
    """
    return learned(
        "scheduled cases that do not happen", NOT_HAPPENING, "ours", NOT_HAPPENING_WEIGHT,
        count, scheduled,
    )  # fmt: skip


def volume(what: str, cases: Sequence[float], stated: float | None = None) -> Volume | NoBasis:
    """How many cases a usual week brings and how weeks scatter; camps and closures are left out
    by whoever asks, because a plan overrides them.

    The stated number is worth 2 weeks. The variation f in Var = m + f m^2 is the method of moments
    (C. I. Bliss and R. A. Fisher 1953, Biometrics 9:176-200), shrunk to 0.02 worth 26 weeks.

    >>> found = volume("free", [40, 44, 36, 40], stated=46)
    >>> found.mean.result, found.variation.result < 0.02
    (42.0, True)
    >>> volume("free", [])
    NoBasis(what='free', why='no week is known and no usual number is stated')
    """
    if not cases and stated is None:
        return NoBasis(what, "no week is known and no usual number is stated")
    average = sum(cases) / len(cases) if cases else float(stated or 0)
    weight = 0.0 if stated is None else VOLUME_WEIGHT
    prior = average if stated is None else stated
    source = "none" if stated is None else "stated"
    mean = learned(what, prior, source, weight, sum(cases), len(cases))
    return Volume(mean, variation(f"variation of {what}", cases))


def variation(what: str, cases: Sequence[float]) -> Estimate:
    """f in Var = m + f m^2 of weekly cases, shrunk to 0.02 worth 26 weeks, never below nothing.

    Weeks that are all the same scatter less than Poisson, which counts as nothing.

    >>> variation("v", [40] * 27).result
    0.01
    """
    weeks = len(cases)
    average = sum(cases) / weeks if weeks else 0.0
    if weeks < 2 or average <= 0:
        return learned(what, VARIATION, "ours", VARIATION_WEIGHT, 0, 0)
    spread = sum((value - average) ** 2 for value in cases) / (weeks - 1)
    seen = max(0.0, (spread - average) / average**2)
    return learned(what, VARIATION, "ours", VARIATION_WEIGHT, seen * (weeks - 1), weeks - 1)


def mix(
    what: str, counts: Mapping[str, float], stated: Mapping[str, float] | None = None
) -> Shares | NoBasis:
    """Shares of case types in a category's cases; stated shares (or equal ones) are worth 20.

    >>> mix("paid", {"phaco": 90, "sics": 10}, {"phaco": 3, "sics": 1}).share("phaco")
    0.875
    >>> mix("paid", {})
    NoBasis(what='paid', why='no case type is known')
    """
    names = tuple(dict.fromkeys([*counts, *(stated or {})]))
    if not names:
        return NoBasis(what, "no case type is known")
    if not any(counts.values()) and not stated:
        return NoBasis(what, "no case was counted and no shares are stated")
    prior = _as_shares([(stated or {}).get(name, 0.0) for name in names], len(names))
    seen = tuple(counts.get(name, 0.0) for name in names)
    result = leaning(prior, MIX_WEIGHT, seen)
    source = "stated" if stated else "all alike"
    return Shares(what, names, prior, source, MIX_WEIGHT, seen, result)


def _as_shares(values: Sequence[float], parts: int) -> tuple[float, ...]:
    whole = sum(values)
    return tuple(value / whole for value in values) if whole else (1 / parts,) * parts


def scheduling_curve(
    notice: Sequence[float] = (), prior: Sequence[float] = NOTICE, weight: float = NOTICE_WEIGHT
) -> Shares:
    """How long before its week a case is scheduled, from the cases that were done.

    `notice` counts cases scheduled within their own week, by its first day, 1 week before, ...

    >>> scheduling_curve().result
    (0.1, 0.1, 0.2, 0.25, 0.2, 0.15)
    """
    bins = max(len(notice), len(prior))
    counts, before = (tuple(row) + (0.0,) * (bins - len(row)) for row in (notice, prior))
    names = ("in its week", "by its first day", *(f"{n} weeks before" for n in range(1, bins - 1)))
    result = leaning(before, weight, counts)
    return Shares("notice of cases", names, before, "ours", weight, counts, result)


def visible_share(curve: Shares, weeks_ahead: int) -> float:
    """The share of a week's cases that are on the lists so many weeks before its first day.

    >>> [round(visible_share(scheduling_curve(), weeks), 2) for weeks in (0, 1, 4, 5)]
    [0.9, 0.8, 0.15, 0]
    """
    return sum(curve.result[weeks_ahead + 1 :])


def lead_times(
    what: str, days: Sequence[int], quoted: int | None = None, longest: int = 120
) -> Shares | NoBasis:
    """A supplier's lead time in whole days, from every receipt, leaning on the quoted time.

    The quoted time (or, where none is, the median receipt) stands for a rounded normal shape
    around it that scatters by 35 %, worth 4 receipts. Neither quoted nor received is no basis.

    >>> lead_times("ACME", [])
    NoBasis(what='ACME', why='no receipt is known and no time is quoted')
    >>> one = lead_times("ACME", [21], quoted=14)
    >>> round(sum(int(name) * share for name, share in zip(one.names, one.result)), 1)
    15.4
    """
    if not days and quoted is None:
        return NoBasis(what, "no receipt is known and no time is quoted")
    centre = sorted(days)[len(days) // 2] if quoted is None else quoted
    last = max([min(3 * max(centre, 1), longest), *days])
    values = range(last + 1)
    prior = tuple(_around(centre, last))
    counts = tuple(float(days.count(value)) for value in values)
    source = f"{'median' if quoted is None else 'quoted'}, {centre} days"
    result = leaning(prior, RECEIPTS_WEIGHT, counts)
    return Shares(
        what, tuple(map(str, values)), prior, source, RECEIPTS_WEIGHT, counts, result
    )  # fmt: skip


def _around(centre: int, last: int) -> list[float]:
    """A rounded normal shape from 0 to 3 times the centre; of no days at all exactly that."""
    if centre == 0:
        return [1.0] + [0.0] * last
    shape = normal_shape(range(min(3 * centre, last) + 1), centre, LEAD_SCATTER * centre, 0.5)
    return shape + [0.0] * (last + 1 - len(shape))


def days_of(times: Shares) -> dict[int, float]:
    """Lead times as days with their chances, for an interval.

    >>> round(sum(days_of(lead_times("ACME", [], 14)).values()), 9)
    1.0
    """
    return {
        int(name): share for name, share in zip(times.names, times.result, strict=True) if share > 0
    }


def mean_days(days: Mapping[int, float]) -> float:
    """The mean of lead times.

    >>> mean_days({10: 0.5, 14: 0.5})
    12.0
    """
    return sum(value * chance for value, chance in days.items())


def whole_days(days: float) -> int:
    """The nearest whole number of days.

    >>> whole_days(13.7)
    14
    """
    return round(days)


def quoted_and_rounded(mean: float, sd: float, least: int, most: int) -> dict[int, float]:
    """Lead times of a normal curve rounded to whole days, cut to a range and renormalised.

    >>> round(quoted_and_rounded(14, 5, 3, 35)[14], 6)
    0.08052
    """
    values = range(least, most + 1)
    return dict(zip(values, normal_shape(values, mean, sd, 0.5), strict=True))
