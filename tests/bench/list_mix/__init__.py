"""LIST-MIX: three simulated years of an eye theatre, in which ways of ordering are compared.

A world is an invented site (`site.py`), its surgical calendar and its cases (`demand.py`), drawn
once from a scenario and a seed: every policy meets the very same cases and lead times. `run.py`
lets one policy order on every Monday and counts what it leads to; `view.py` is all that a policy
may know on a Monday; `handbooks.py` has the handbooks' rules, `told.py` a yardstick that is told
the true rates, and `scoring.py` compares the stock that rules need for the same service.

A policy is any object with `orders(view) -> quantities` (`view.Policy`), an array of whole units,
one for each stocked thing in the order of `site.Site`: first the consumables, then the lenses by
model and power. The run rounds up to whole packs. A rule is a row of functions from a world to
a policy, by rising strength (months of stock, a service level), for `scoring.frontier`. What a
case wanted and did not get is counted, so the history is the same whoever orders: a policy may
reckon its levels for all strengths at once and share them among the policies of one world.

What FORECAST.md leaves open is settled so:

- 60 cases a week are cases that were operated. The lists hold 1/0.94 as many; each is operated
  with probability 0.94, whether or not it was visible beforehand.
- Paid, free and camp cases each have their own weekly volume, Poisson(mean x Gamma(1, CV 0.12)).
  Camp cases become visible like all others, by the curve, and are free cases otherwise.
- A closure week has three tenths of its usual cases; camps never fall into one.
- A unit that a case uses instead of a spoiled one counts as used. A spoiled lens needs a second
  one of the same model and power.
- Shelf life counts from receipt and is the same for every receipt of an item, so first expired is
  first received; a lot is usable through its last day.
- A supplier's order of a Monday comes as one delivery, in the morning, on any day of the week.
- Stock value is the mean, over all operating days of the two years, of what is on hand in the
  evening. A case short of a consumable or without its lens is operated all the same.
"""
