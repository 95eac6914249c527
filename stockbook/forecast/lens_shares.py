"""Which powers patients need: a published shape to begin with, then the site's own counts."""

from collections.abc import Mapping, Sequence
from itertools import pairwise
from math import erf, exp, lgamma, sqrt

POOLED_WEIGHT = 100
"""The published shape counts as much as so many cases of the site."""
MODEL_WEIGHTS = (50, 200, 1000, 5000)
"""The site's powers, all models together, count as much as so many cases of one model: each is as
likely beforehand, and the model's own cases say how like the others it is."""


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
    the less what it began with counts; the more its powers look like those of the other models,
    the longer it counts (`_alike`).

    >>> shares = power_shares({"A": {2100: 0, 2150: 0}, "B": {2100: 30, 2150: 0}}, 2125, 250)
    >>> [round(share, 3) for share in shares["A"].values()]
    [0.615, 0.385]
    >>> [round(share, 3) for share in shares["B"].values()]
    [0.756, 0.244]
    """
    together: dict[int, int] = {}
    for used in counts.values():
        for power, count in used.items():
            together[power] = together.get(power, 0) + count
    powers = sorted(together)
    shape = dict(zip(powers, published_shape(powers, mean, deviation), strict=True))
    pooled = _posterior(shape, together, POOLED_WEIGHT)
    found = {}
    for model, used in counts.items():
        rest = {power: count - used.get(power, 0) for power, count in together.items()}
        others = _posterior(shape, rest, POOLED_WEIGHT)
        found[model] = _of_model(_made_in(pooled, used), used, _alike(_made_in(others, used), used))
    return found


def _made_in(shares: Mapping[int, float], used: Mapping[int, int]) -> dict[int, float]:
    """The shares of the powers that a model is made in, in rising order."""
    powers = sorted(used)
    return dict(zip(powers, _shares([shares[power] for power in powers]), strict=True))


def _of_model(
    prior: Mapping[int, float], used: Mapping[int, int], alike: Sequence[float]
) -> dict[int, float]:
    """The posterior at each of the weights, averaged with their chances."""
    parts = [_posterior(prior, used, weight) for weight in MODEL_WEIGHTS]
    return {
        power: sum(chance * part[power] for chance, part in zip(alike, parts, strict=True))
        for power in prior
    }


def _alike(others: Mapping[int, float], used: Mapping[int, int]) -> list[float]:
    """The chance of each of `MODEL_WEIGHTS`, from how well the other models' shares foretell what
    a model's patients needed: the Dirichlet-multinomial likelihood (J. E. Mosimann 1962,
    Biometrika 49:65-82).

    Ninety patients as the others lean to the largest weight; ninety of one power do not.

    >>> others = {2100: 0.5, 2150: 0.5}
    >>> [round(chance, 2) for chance in _alike(others, {2100: 45, 2150: 45})]
    [0.18, 0.25, 0.28, 0.29]
    >>> [round(chance, 2) for chance in _alike(others, {2100: 90, 2150: 0})]
    [1.0, 0.0, 0.0, 0.0]
    """
    logs = [_log_likelihood(others, used, weight) for weight in MODEL_WEIGHTS]
    return _shares([exp(log - max(logs)) for log in logs])


def _log_likelihood(prior: Mapping[int, float], used: Mapping[int, int], weight: int) -> float:
    cells = ((weight * part, used[power]) for power, part in prior.items() if used[power])
    each = sum(lgamma(begun + count) - lgamma(begun) for begun, count in cells if begun > 0)
    return each + lgamma(weight) - lgamma(weight + sum(used.values()))


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
