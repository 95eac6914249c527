"""The invented site of LIST-MIX: 24 consumables, three lens models, seven suppliers, its kits."""

from dataclasses import dataclass
from functools import cache
from math import erf, sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PROCEDURES = ("phaco", "manual", "combined")
CATEGORIES = ("paid", "free")
MIX = np.array([[0.93, 0.03, 0.04], [0.36, 0.63, 0.01]])
"""Procedures by category."""

EVENTS = ("dye", "pupil", "rupture", "spoiled lens")
CHANCES = np.array([[0.08, 0.08, 0.0195, 0.00662], [0.25, 0.12, 0.0195, 0.00662]])
"""What happens to a case, by category, each independent of the others."""

MODELS = ("standard", "better", "premium")
MODEL_COSTS = (10.0, 40.0, 120.0)
MODEL_MIX = np.array([[0.05, 0.75, 0.20], [1.0, 0.0, 0.0]])
LENS_SHELF_DAYS = 1800
LENS_SUPPLIERS = (4, 5, 6)
POWERS = np.arange(10.0, 30.5, 0.5)
SUPPLIERS = 7

# name, cost, pack, shelf life in days, supplier, in each procedure, where an event happens, spoiled
TABLE: tuple[tuple[str, float, int, int, int, tuple[int, int, int], dict[str, int], float], ...] = (
    ("cohesive viscoelastic", 9.0, 5, 730, 0, (1, 1, 2), {"rupture": 1}, 0.0),
    ("dispersive viscoelastic", 14.0, 5, 540, 0, (0, 0, 1), {"pupil": 1, "rupture": 1}, 0.0),
    ("phaco cassette", 38.0, 6, 1800, 1, (1, 0, 1), {}, 0.005),
    ("slit knife", 6.0, 6, 1500, 1, (1, 0, 1), {}, 0.01),
    ("side-port knife", 3.0, 6, 1500, 1, (1, 1, 1), {}, 0.01),
    ("crescent knife", 5.0, 6, 1500, 1, (0, 1, 1), {}, 0.01),
    ("tunnel knife", 5.0, 6, 1500, 1, (0, 1, 0), {}, 0.01),
    ("drape", 3.5, 20, 1200, 2, (1, 1, 1), {}, 0.005),
    ("gown", 4.0, 10, 1200, 2, (2, 2, 2), {}, 0.0),
    ("gloves", 0.6, 50, 1000, 2, (3, 3, 3), {}, 0.02),
    ("irrigating solution, large", 4.0, 12, 700, 3, (1, 0, 1), {"rupture": 1}, 0.0),
    ("irrigating solution, small", 1.0, 24, 500, 3, (1, 2, 1), {}, 0.0),
    ("trypan blue", 8.0, 5, 540, 0, (0, 0, 0), {"dye": 1}, 0.01),
    ("pupil ring", 60.0, 1, 1100, 4, (0, 0, 0), {"pupil": 1}, 0.0),
    ("adrenaline", 1.2, 10, 365, 3, (0, 0, 0), {"pupil": 1}, 0.0),
    ("miotic", 12.0, 1, 300, 3, (0, 0, 1), {"rupture": 1}, 0.0),
    ("moxifloxacin", 0.9, 10, 180, 3, (1, 1, 1), {}, 0.0),
    ("povidone iodine", 0.7, 50, 365, 2, (1, 1, 1), {}, 0.0),
    ("lidocaine", 0.5, 25, 365, 3, (1, 1, 1), {"rupture": 1}, 0.0),
    ("nylon suture", 7.0, 12, 1700, 5, (0, 0, 2), {"rupture": 1}, 0.02),
    ("vitrectomy cutter", 55.0, 1, 1100, 1, (0, 0, 0), {"rupture": 1}, 0.0),
    ("triamcinolone", 15.0, 1, 400, 3, (0, 0, 0), {"rupture": 1}, 0.0),
    ("mitomycin", 18.0, 1, 90, 6, (0, 0, 1), {}, 0.0),
    ("injector cartridge", 5.0, 10, 900, 4, (1, 0, 1), {"spoiled lens": 1}, 0.01),
)


@dataclass(frozen=True)
class Site:
    """What is stocked, in one order: the consumables, then each model's lenses by rising power.

    `costs`, `packs`, `shelf_days` and `supplier` have one figure for each. A case of procedure c
    uses `always[c]`; where event e happens, `besides[e]` more; of every unit of the consumable, a
    share `spoiled` is opened twice. `kit_chances` (category by event) is what the kits state of
    the events: the site's starting belief, the truth unless a run makes it wrong.
    """

    names: tuple[str, ...]
    costs: Floats
    packs: Ints
    shelf_days: Ints
    supplier: Ints
    always: Ints
    besides: Ints
    spoiled: Floats
    kit_chances: Floats
    quoted_lead_days: int = 14

    @property
    def consumables(self) -> int:
        """How many of the stocked things are consumables."""
        return len(TABLE)

    def lens(self, model: Any, power: Any) -> Any:
        """Where a model at a power (by its place in `POWERS`) stands in the order."""
        return self.consumables + model * len(POWERS) + power


@cache
def power_shares() -> Floats:
    """N(21, 3) in half dioptres from 10 to 30: what lies nearest to each, made to sum to 1."""
    edges = np.append(POWERS - 0.25, POWERS[-1] + 0.25)
    below = np.array([erf((edge - 21.0) / (3.0 * sqrt(2.0))) for edge in edges])
    shares = np.diff(below)
    return np.asarray(shares / shares.sum())


def made_site(kit_error: float = 0.0) -> Site:
    """The site; `kit_error` makes every stated chance of its kits too high by that share."""
    names, costs, packs, shelf, supplier, always, besides, spoiled = zip(*TABLE, strict=True)
    powers = len(POWERS)
    lenses = [f"{model} {power:.1f}" for model in MODELS for power in POWERS]
    of_events = [[more.get(event, 0) for more in besides] for event in EVENTS]
    return Site(
        (*names, *lenses),
        np.concatenate([costs, np.repeat(MODEL_COSTS, powers)]),
        np.concatenate([packs, np.ones(len(lenses), int)]),
        np.concatenate([shelf, np.full(len(lenses), LENS_SHELF_DAYS)]),
        np.concatenate([supplier, np.repeat(LENS_SUPPLIERS, powers)]),
        np.array(always).T, np.array(of_events), np.array(spoiled),
        np.minimum(CHANCES * (1 + kit_error), 1.0),
    )  # fmt: skip
