"""Which powers patients need: a published shape to begin with, then the site's own counts."""

from collections.abc import Mapping, Sequence
from itertools import pairwise
from math import erf, sqrt

POOLED_WEIGHT = 100
"""The published shape counts as much as so many cases of the site."""
MODEL_WEIGHT = 50
"""The site's powers, all models together, count as much as so many cases of one model."""


def published_shape(powers: Sequence[int], mean: int, deviation: int) -> list[float]:
    """Shares of these powers where all are normally distributed; they sum to one.

    All in hundredths of a dioptre, powers in rising order. A power stands for what is nearer to
    it than to its neighbours; what lies beyond the outermost is left out and the rest
    renormalised. N(21, 3) on 10 to 30 in half dioptres (shared/lens_bank.csv):

    >>> round(published_shape(range(1000, 3050, 50), 2100, 300)[22], 11)
    0.06648743081
    """
    if len(powers) == 1:
        return [1.0]
    inner = [(low + high) / 2 for low, high in pairwise(powers)]
    edges = [2 * powers[0] - inner[0], *inner, 2 * powers[-1] - inner[-1]]
    below = [erf((edge - mean) / deviation / sqrt(2)) for edge in edges]
    parts = [high - low for low, high in pairwise(below)]
    return _shares(parts)


def _shares(parts: Sequence[float]) -> list[float]:
    """Parts of a whole of one; alike where there is nothing."""
    whole = sum(parts)
    return [part / whole for part in parts] if whole > 0 else [1 / len(parts)] * len(parts)


def power_shares(
    counts: Mapping[str, Mapping[int, int]], mean: int, deviation: int
) -> dict[str, dict[int, float]]:
    """For each model the share of its patients that needs each of its powers.

    `counts` are lenses used by model and power, nothing included where a power was not used. The
    mean of a Dirichlet posterior, twice: the powers of all models together begin at the published
    shape; each model begins at those, as far as it is made in them. The more a model was used,
    the less what it began with counts.

    >>> shares = power_shares({"A": {2100: 0, 2150: 0}, "B": {2100: 30, 2150: 0}}, 2125, 250)
    >>> [round(share, 3) for share in shares["A"].values()]
    [0.615, 0.385]
    >>> [round(share, 3) for share in shares["B"].values()]
    [0.76, 0.24]
    """
    together: dict[int, int] = {}
    for used in counts.values():
        for power, count in used.items():
            together[power] = together.get(power, 0) + count
    powers = sorted(together)
    shape = dict(zip(powers, published_shape(powers, mean, deviation), strict=True))
    pooled = _posterior(shape, together, POOLED_WEIGHT)
    return {model: _of_model(pooled, used) for model, used in counts.items()}


def _of_model(pooled: Mapping[int, float], used: Mapping[int, int]) -> dict[int, float]:
    powers = sorted(used)
    own = dict(zip(powers, _shares([pooled[power] for power in powers]), strict=True))
    return _posterior(own, used, MODEL_WEIGHT)


def _posterior(
    prior: Mapping[int, float], counts: Mapping[int, int], weight: int
) -> dict[int, float]:
    whole = weight + sum(counts.values())
    return {power: (weight * part + counts[power]) / whole for power, part in prior.items()}


def model_weights(used: Mapping[str, int]) -> dict[str, float]:
    """The share of all patients that needs each model, from how often each was used.

    A model that was never used has no basis beside others that were, and is left out; where
    none was used all count alike.

    >>> model_weights({"A": 30, "B": 10, "C": 0})
    {'A': 0.75, 'B': 0.25}
    """
    seen = {model: count for model, count in used.items() if count > 0}
    models = list(seen or used)
    return dict(zip(models, _shares([seen.get(model, 0) for model in models]), strict=True))
