"""LIST-MIX in full: the stock that each rule needs, scenario by scenario (-m bench -s)."""

import pytest
from list_mix import scoring
from list_mix.demand import SCENARIOS, World, made_world
from list_mix.estimated import Calibrating, Estimated, Sight
from list_mix.handbooks import handbook_family
from list_mix.run import simulated
from list_mix.scoring import Frontier, PolicyFor
from list_mix.site import made_site
from list_mix.told import Foresight, Told, alike, by_cost
from tabulate import tabulate

SEEDS = range(1, 13)
TOLD_SEEDS = range(1, 5)
"""The yardstick takes twenty seconds a world."""
CONSUMABLES = (0.1, 0.05, 0.02, 0.01, 0.005, 0.002)
LENSES = (0.04, 0.03, 0.02, 0.0125, 0.008, 0.004)
ESTIMATED_CONSUMABLES = (0.06, 0.03, 0.015, 0.01, 0.007, 0.005, 0.0025)
ESTIMATED_LENSES = (0.08, 0.04, 0.028, 0.02, 0.014, 0.01, 0.006)
AIMS = {"flat": 0.65, "camps": 0.60, "uneven": 0.52}
CALIBRATED = (0.5, 0.8, 0.9, 0.95, 0.99)
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


def estimated(worlds: list[World]) -> Frontier:
    """The forecast with estimated rates, a mean chance of running short for each strength."""
    sights = {w.seed: Sight(w, ESTIMATED_CONSUMABLES, ESTIMATED_LENSES) for w in worlds}
    strengths: list[PolicyFor] = [
        lambda w, k=strength: Estimated(sights[w.seed], k)
        for strength in range(len(ESTIMATED_LENSES))
    ]
    return scoring.frontier(worlds, strengths)


def calibration(worlds: list[World]) -> str:
    """How often levels were enough for three weeks, beside what they promised."""
    found = []
    for world in worlds:
        sight = Sight(world, ESTIMATED_CONSUMABLES, ESTIMATED_LENSES)
        policy = Calibrating(Estimated(sight, 3), world, CALIBRATED)
        simulated(world, policy)
        found.append(policy)
    looked = sum(one.looked for one in found)
    shares = sum(one.enough for one in found) / looked
    words = ", ".join(
        f"{100 * wanted:.0f} %: {100 * share:.1f} %"
        for wanted, share in zip(CALIBRATED, shares, strict=True)
    )
    return f"Enough for three weeks, promised and seen in {looked:,} looks: {words}."


@pytest.mark.parametrize("scenario", SCENARIOS)
def test_the_forecast_beside_the_handbooks(scenario: str, pages: list[str]) -> None:
    """Estimated rates, camp powers on the eve; then with kits that state a fifth too much."""
    worlds = [made_world(made_site(), scenario, seed) for seed in SEEDS]
    rules = family(worlds)
    best, ours = scoring.best_of(rules), estimated(worlds)
    share = scoring.score(ours, rules)
    wrong = [made_world(made_site(kit_error=0.2), scenario, seed) for seed in SEEDS]
    astray = scoring.score(estimated(wrong), rules)
    pages.append(
        f"LIST-MIX, {scenario}, forecast with estimated rates, {len(worlds)} seeds: "
        f"{share.ratio:.3f} ({share.low:.3f} to {share.high:.3f}) of the best handbook rule's "
        f"{best.value:,.0f}; aim {AIMS[scenario]}.\n"
        f"{tabulate([_cells('forecast', ours), _cells(best.consumables, rules[best.consumables])], HEADERS)}\n"  # noqa: E501
        f"Kits that state a fifth too much: {astray.ratio:.3f} ({astray.low:.3f} to "
        f"{astray.high:.3f}).\n{calibration(worlds[:4])}"
    )
    assert share.ratio < 1


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
