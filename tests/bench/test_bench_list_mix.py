"""LIST-MIX in full: the stock that each rule needs, scenario by scenario (-m bench -s)."""

import pytest
from list_mix import scoring
from list_mix.demand import SCENARIOS, World, made_world
from list_mix.handbooks import handbook_family
from list_mix.scoring import Frontier, PolicyFor
from list_mix.site import made_site
from list_mix.told import Foresight, Told, alike, by_cost
from tabulate import tabulate

SEEDS = range(1, 13)
TOLD_SEEDS = range(1, 5)
"""The yardstick takes twenty seconds a world."""
CONSUMABLES = (0.1, 0.05, 0.02, 0.01, 0.005, 0.002)
LENSES = (0.04, 0.03, 0.02, 0.0125, 0.008, 0.004)
HEADERS = ("rule", "consumables", "lenses", "together", "lines a week")

pytestmark = pytest.mark.bench


def family(worlds: list[World]) -> dict[str, Frontier]:
    """Every rule of the handbooks in every world."""
    return {
        name: scoring.frontier(worlds, [lambda _, p=policy: p for policy in rule])
        for name, rule in handbook_family().items()
    }


def told(worlds: list[World]) -> Frontier:
    """The yardstick, the same chance for all consumables and lenses by their cost."""
    sights = {w.seed: Foresight(w, alike(CONSUMABLES), by_cost(LENSES)) for w in worlds}
    strengths: list[PolicyFor] = [
        lambda w, k=strength: Told(sights[w.seed], k) for strength in range(len(LENSES))
    ]
    return scoring.frontier(worlds, strengths)


@pytest.mark.parametrize("scenario", SCENARIOS)
def test_stock_needed_for_the_same_service(scenario: str, pages: list[str]) -> None:
    worlds = [made_world(made_site(), scenario, seed) for seed in SEEDS]
    rules = family(worlds)
    few = worlds[: len(TOLD_SEEDS)]
    yardstick = told(few)
    share = scoring.score(yardstick, family(few))
    rows = [_cells(name, found) for name, found in rules.items()]
    rows.append(_cells(f"told the true rates, {len(few)} seeds", yardstick))
    best = scoring.best_of(rules)
    pages.append(
        f"LIST-MIX, {scenario}: mean stock for 1 % short of a consumable and 2 % of a lens\n"
        f"{tabulate(rows, HEADERS)}\n"
        f"Best of the handbooks: {best.value:,.0f} ({best.consumables}; lenses: {best.lenses}).\n"
        f"Told the true rates: {share.ratio:.2f} of it ({share.low:.2f} to {share.high:.2f})."
    )


def _cells(name: str, found: Frontier) -> list[str]:
    needed = found.needed()
    values = (needed.consumables, needed.lenses, needed.together)
    return [name, *(f"{value:,.0f}" for value in values), f"{needed.lines_a_week:.1f}"]
