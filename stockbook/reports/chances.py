"""Chances in plain words, alike on every page."""

SURE, MOSTLY, HARDLY = 0.95, 0.45, 1e-4
"""Above the first two, and below the last, a chance is not said as one in so many."""


def chance(value: float) -> str:
    """A chance in words.

    >>> [chance(p) for p in (0.99, 0.7, 0.02, 0.00001)]
    ['almost surely', '7 in 10', '1 in 50', 'hardly']
    """
    if value > SURE:
        return "almost surely"
    if value > MOSTLY:
        return f"{round(10 * value)} in 10"
    return "hardly" if value < HARDLY else f"1 in {round(1 / value)}"
