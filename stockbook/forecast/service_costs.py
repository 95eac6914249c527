"""Service by cost: the same share of uses short, where it ties up less money."""

from collections.abc import Sequence

ITEMS_POWER, LENSES_POWER = 0.5, 1.0
"""How a chance of running short grows with the cost of a use. One unit more of a lens serves one
case for its cost, so chances go with costs; a case that misses several items is one case short,
so that of items less is gained, and half the power was the best of those tried in LIST-MIX."""

MOST_SHORT = 0.5
"""However dear, no item is kept less well than this."""


def chances_by_cost(
    costs: Sequence[float], uses: Sequence[float], short: float, power: float
) -> list[float]:
    """Chances of running short that grow with cost; over all uses their mean is `short`.

    With chances in proportion to costs (power 1) the last unit of everything is as likely to be
    wanted for the money that it ties up, so that no money moved from one to another serves more.
    Power 0 is the same chance for all. Where `MOST_SHORT` cuts a chance the mean is less.

    >>> [round(each, 4) for each in chances_by_cost([1, 9], [1, 1], 0.05, 0.5)]
    [0.025, 0.075]
    >>> chances_by_cost([1, 9], [3, 1], 0.05, 0)
    [0.05, 0.05]
    """
    weights = [max(cost, 0.0) ** power for cost in costs]
    whole = sum(weight * use for weight, use in zip(weights, uses, strict=True))
    if whole <= 0:
        return [short] * len(weights)
    scale = short * sum(uses) / whole
    return [min(MOST_SHORT, scale * weight) for weight in weights]


def in_permille(share: float) -> int:
    """The nearest whole parts of a thousand.

    >>> in_permille(0.9512)
    951
    """
    return round(1000 * share)
