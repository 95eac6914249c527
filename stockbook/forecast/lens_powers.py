"""Lens powers: the demand of each power of a model; its shares come from `lens_shares`."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from stockbook.forecast.coming import Coming, Days, Horizons, extended, horizons, lengthened
from stockbook.forecast.demand import Line, taken
from stockbook.forecast.distributions import Array, Distribution
from stockbook.forecast.side_by_side import SideBySide, in_ways


@dataclass(frozen=True, eq=False, slots=True)
class LensCases:
    """The coming cases of one lens model; rows are days.

    `known` counts scheduled cases by day and power, `unknown` those without a power by day,
    `not_yet` expects cases of this model by day and category.
    """

    known: Array
    unknown: Array
    not_yet: Array
    not_happening: float = 0.0
    spoiled: float = 0.0
    variation: float = 0.0


def model_cases(
    coming: Coming, powers: int, known: Sequence[tuple[int, int]], unknown: Sequence[int],
    part: Sequence[float], open_cases: Sequence[tuple[int, int]], spoiled: float,
) -> LensCases:  # fmt: skip
    """A model's part of what is coming.

    `known` are cases of lists, each by its day and the number of its power, `unknown` the days of
    those of the model without a power, `open_cases` those that name no model, by day and number
    of category; `part` is the model's share of each category's cases.
    """
    import numpy as np

    days, categories = coming.not_yet.shape
    by_power, none, named = (
        np.zeros((days, powers)), np.zeros(days), np.zeros((days, categories))
    )  # fmt: skip
    for cell in known:
        by_power[cell] += 1
    for day in unknown:
        none[day] += 1
    for cell in open_cases:
        named[cell] += 1 - coming.not_happening
    return LensCases(
        by_power, none, (coming.not_yet + named) * np.asarray(part, dtype=float),
        coming.not_happening, spoiled, coming.variation,
    )  # fmt: skip


def one_power(cases: LensCases, number: int, first: int = 0, last: int | None = None) -> LensCases:
    """The same for one power alone, over the days from one number up to, and without, another."""
    return replace(
        cases, known=cases.known[first:last, [number]], unknown=cases.unknown[first:last],
        not_yet=cases.not_yet[first:last],
    )  # fmt: skip


def lens_extended(cases: LensCases, days: int) -> LensCases:
    """The same for more days, beyond those known as the last week is expected."""
    import numpy as np

    whole = extended(
        Coming(np.hstack([cases.known, cases.unknown[:, None]]), cases.not_yet, np.eye(1)), days
    )
    return replace(
        cases, known=whole.scheduled[:, :-1], unknown=whole.scheduled[:, -1], not_yet=whole.not_yet
    )


def power_means(cases: LensCases, share: float, number: int) -> tuple[Array, Array]:
    """Lenses of one power expected day by day: by cases of lists, and by those not yet on one."""
    happening = 1 - cases.not_happening
    listed = (cases.known[:, number] + cases.unknown * share) * happening * (1 + cases.spoiled)
    return listed, cases.not_yet.sum(axis=1) * share * (1 + cases.spoiled)


def power_demands(
    models: Sequence[tuple[LensCases, Sequence[float]]], interval: Days
) -> list[list[Distribution]]:
    """The demand of each power of each model over a random interval, by the model's coming cases
    and its shares; all models of a site, at once.

    Two cases of known power, none cancelled: two lenses of that power, surely.

    >>> import numpy as np
    >>> cases = LensCases(np.array([[2, 0]]), np.zeros(1), np.zeros((1, 1)))
    >>> [[round(found.mean, 9) for found in model]
    ...  for model in power_demands([(cases, [0.5, 0.5])], {1: 1.0})]
    [[2.0, 0.0]]
    """
    import numpy as np

    over = [_horizons(cases, interval) for cases, _ in models]
    most = max(len(one.weights) for one in over)
    own = [_by_power(lengthened(one, most)) for one in over]
    ways = [
        [taken((Line(1, chance, cases.spoiled),)) for chance in (1.0, share)]
        for cases, shares in models for share in shares
    ]  # fmt: skip
    same = {(cases.not_happening, cases.variation) for cases, _ in models}
    if len(same) != 1:
        raise ValueError("the models of one site have the same variation and share not happening")
    not_yet = np.concatenate([one.not_yet for one in own])
    found = SideBySide(
        *in_ways(ways), np.concatenate([one.weights for one in own]),
        np.concatenate([one.scheduled for one in own]), not_yet,
        np.tile([0.0, 1.0], (len(ways), not_yet.shape[2], 1)), *same.pop(), most,
    ).distributions()  # fmt: skip
    each = iter(found)
    return [[next(each) for _ in shares] for _, shares in models]


def _horizons(cases: LensCases, interval: Days) -> Horizons:
    """Of all powers together, and as the last column of cases without a known power."""
    import numpy as np

    scheduled = np.hstack([cases.known, np.asarray(cases.unknown)[:, None]])
    return horizons(Coming(scheduled, cases.not_yet, np.eye(1)), interval)


def _by_power(whole: Horizons) -> Horizons:
    """Horizons power after power: its own scheduled cases, and those without a known power.

    A demand this small begins at nothing over any of them, so they all share a window.
    """
    import numpy as np

    known = whole.scheduled[:, :-1].T
    own = np.stack([known, np.broadcast_to(whole.scheduled[:, -1], known.shape)], axis=-1)
    many = len(known)
    return Horizons(np.tile(whole.weights, (many, 1)), own, np.tile(whole.not_yet, (many, 1, 1)))
