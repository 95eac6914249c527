"""Checks of the methods of valuation, through the real command wherever the book has the stock."""

from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from published.bought import Moves, bought_and_used, days_of
from published.one_item import MINOR, Lot, OneItemBook, Use
from published.tables import Figures
from stockbook.domain import valuation

NO_LIFO = "LIFO is not offered: IAS 2 does not allow it"
NO_PROFIT = "what was earned is no part of a stock ledger"
METHODS = ("lot", "fifo", "average")


def moving_average(figures: Figures, folder: Path) -> None:
    """The published sequence by moving average, to the minor unit and as it was printed."""
    (moves,) = figures.given("moves")
    book = _in_order(folder, moves)
    found = book.by_method(*days_of(moves), "average")["average"]
    figures.equal("cogs", found["used"])
    figures.equal("ending", found["closing"])
    figures.equal("cogs_published", round(found["used"]))
    figures.equal("ending_published", round(found["closing"]))


def last_in_first_out(figures: Figures, folder: Path) -> None:
    """The published figures are LIFO's, so the method is refused and they stand nowhere."""
    (moves,) = figures.given("moves")
    used, left = _lifo(moves)
    figures.equal("cogs", used)
    figures.equal("ending", left)
    book = _in_order(folder, moves)
    first, last = days_of(moves)
    period = f"cost --from {first} --to {last}"
    said = book.desk.refused(f"{period} --method lifo", 2, today=last)
    assert "'lifo', wanted lot, fifo or average" in said
    assert "IAS 2 does not allow it" in said
    asked = " ".join(f"--method {method}" for method in METHODS)
    lines = (period, f"{period} {asked}", f"{period} {asked} --csv", "stock")
    pages = "\n".join(book.desk.ok(line, today=last) for line in lines).replace(",", "")
    assert not [f for f in (used, left) if f"{f}.00" in pages], f"{figures.row}: {pages}"


def _lifo(moves: Moves) -> tuple[int, int]:
    """Cost and rest when the newest units go first; nothing of the book is asked."""
    pile: list[int] = []
    used = 0
    for move in moves:
        if move["move"] == "in":
            pile += [move["unit_cost"]] * move["qty"]
            continue
        used += sum(pile[-move["qty"] :])
        del pile[-move["qty"] :]
    return used, sum(pile)


def _in_order(folder: Path, moves: Moves) -> OneItemBook:
    sales = [(move["date"], None, move["qty"]) for move in moves if move["move"] == "out"]
    return bought_and_used(folder, moves, sales)


def goods_available(figures: Figures, folder: Path) -> None:
    """At one unit cost every method agrees: opening and what came is what went and what is left."""
    opening, bought, left, cost = figures.given(
        "opening_qty", "purchased_qty", "closing_qty", "unit_cost"
    )
    issued = opening + bought - left
    book = _opened(folder, (opening, cost), [(bought, cost)], issued)
    figures.equal("issued_qty", book.used()[0])
    found = book.by_method("2027-03-02", "2027-03-31", *METHODS)
    assert tuple(found) == METHODS
    for sums in found.values():
        figures.equal("available", sums["opening"] + sums["received"])
        figures.equal("closing", sums["closing"])
        figures.equal("issued_cost", sums["used"])
    assert book.units_on_hand() == left


def fifo_and_average(figures: Figures, folder: Path) -> None:
    """Few units of three prices, by FIFO and by moving average."""
    opening, purchases, issued = figures.given("opening", "purchases", "issued_qty")
    book = _opened(folder, tuple(opening), [tuple(p) for p in purchases], issued)
    found = book.by_method("2027-03-02", "2027-03-31", "fifo", "average")
    for name, method in (("fifo", "fifo"), ("wac", "average")):
        sums = found[method]
        figures.equal(name, {"cogs": sums["used"], "ending": sums["closing"]})
    figures.leave_out("lifo", NO_LIFO)
    book.verify()


def _opened(
    folder: Path, opening: tuple[int, int], purchases: list[tuple[int, int]], issued: int
) -> OneItemBook:
    """Opening stock on the first of March, then deliveries and one case."""
    book = OneItemBook(folder, "2027-03-01")
    book.open_with([Lot("L0", "2027-03-01", "", *opening)], "2027-03-01")
    use = Use("CASE", "2027-03-31", issued)
    book.schedule([use], "2027-03-01")
    for number, (quantity, cost) in enumerate(purchases, start=1):
        book.receive(f"2027-03-{number + 1:02}", quantity, f"L{number}", cost)
    book.use(use)
    return book


def turnover_and_days(figures: Figures, _: Path) -> None:
    """Exactly, and as the source printed them from a rounded turnover."""
    used, opening, closing, days = figures.given("cogs", "opening", "closing", "days")
    years = list(zip(used, opening, closing, strict=True))
    hundredths = [valuation.turnover_hundredths(*year) for year in years]
    thousandths = [valuation.days_in_stock_thousandths(days, *year) for year in years]
    figures.equal("turnover_2dp", [Decimal(n or 0) / 100 for n in hundredths], "exact")
    figures.equal("days_exact", [Fraction(n or 0, 1000) for n in thousandths], "0.0005")
    figures.equal("days_published", [Fraction(n or 0, 1000) for n in thousandths])


def count_error(figures: Figures, _: Path) -> None:
    """A year-end counted too low makes one year dearer and the next cheaper by as much."""
    first, second = figures.given("y1", "y2")

    def both(counted: int) -> list[int]:
        cost = valuation.cost_of_goods_used
        return [
            cost(first["opening"], first["purchases"], counted),
            cost(counted, second["purchases"], second["closing"]),
        ]

    right, wrong = both(first["closing_true"]), both(first["closing_wrong"])
    figures.equal("cogs_true", right)
    figures.equal("cogs_wrong", wrong)
    figures.equal("two_year_cogs", sum(right))
    assert sum(wrong) == sum(right)
    for name in ("net_true", "net_wrong"):
        figures.leave_out(name, NO_PROFIT)


def lower_of_cost_and_market(figures: Figures, _: Path) -> None:
    """Item by item; taken together, a gain in one item would hide the loss in another."""
    (items,) = figures.given("items")
    lines = [
        (MINOR * item["qty"] * item["cost"], MINOR * item["qty"] * item["market"]) for item in items
    ]
    lower = valuation.lower_of_cost_and_market
    figures.equal("item_by_item", Fraction(lower(lines), MINOR))
    together = (sum(cost for cost, _ in lines), sum(market for _, market in lines))
    figures.equal("aggregate_(wrong_under_IAS2_par29)", Fraction(lower([together]), MINOR))
