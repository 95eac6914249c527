"""What is run for each topic of `arithmetic.csv`, and the checks of the other tables."""

import json
from pathlib import Path

from published import card, handbooks, invoicing, levelling, ordering, scans, sharing, valuing
from published.bought import NO_SALES, YEAR, bought_and_used, days_of
from published.forecasting import FORECAST
from published.lens_bank import LENS_BANK
from published.one_item import ITEM, Lot, OneItemBook, Use
from published.tables import Check, Figures
from stockbook.domain.days import days_after


def cost_in_order_of_receipt(figures: Figures, folder: Path) -> None:
    """Lots without an expiry are picked in the order in which they came; FIFO says the same."""
    (moves,) = figures.given("moves")
    sales = [(move["date"], None, move["qty"]) for move in moves if move["move"] == "out"]
    book = bought_and_used(folder, moves, sales)
    figures.leave_out("gross_margin_on_sales_11340", NO_SALES)
    _compare_values(figures, book, "ending_layers", "fifo")


def cost_of_named_lots(figures: Figures, folder: Path) -> None:
    """Each sale takes the lots that are named for it."""
    moves, issue_lots = figures.given("moves", "issue_lots")
    sales = [(day, f"L{number}", quantity) for day, number, quantity in issue_lots]
    book = bought_and_used(folder, moves, sales)
    figures.leave_out("gross_margin", NO_SALES)
    _compare_values(figures, book, "ending_lots", "lot")


def _compare_values(figures: Figures, book: OneItemBook, layers: str, method: str) -> None:
    """What was used and what is left, in the book's own values and by `cost --method`."""
    left = book.layers()
    figures.equal("cogs", book.used()[1])
    figures.equal("ending", sum(value for _, value in left))
    figures.equal(layers, [[quantity, value / quantity] for quantity, value in left])
    _compare_pages(figures, book)
    valued = book.by_method(*days_of(figures.row.inputs["moves"]), method)[method]
    figures.equal("cogs", valued["used"])
    figures.equal("ending", valued["closing"])
    book.verify()


def _compare_pages(figures: Figures, book: OneItemBook) -> None:
    """Finance and the store read the same published figures on their pages."""
    first, last = days_of(figures.row.inputs["moves"])
    cost = book.desk.ok(f"cost --from {first} --to {last}", today=last)
    used = next(line for line in cost.splitlines() if line.startswith("Used"))
    assert f"{figures.row.expected['cogs']:,}.00" in used.split(), f"{figures.row}: {used}"
    assert "The proof holds." in cost
    stock = book.desk.ok("stock", today=last)
    assert f"Value in all: USD {figures.row.expected['ending']:,}.00" in stock


def picked_in_full(figures: Figures, folder: Path) -> None:
    """The kit is there: the soonest expiry first, past what must not be used."""
    book, use = _shelf_of_lots(figures, folder)
    book.desk.ok(f"issue {use.case} --by NU -y")
    _compare_picks(figures, book, use)


def picked_short(figures: Figures, folder: Path) -> None:
    """The kit is not there: refused with what is short; a partial issue records it."""
    book, use = _shelf_of_lots(figures, folder)
    said = book.desk.refused(f"issue {use.case} --by NU -y", 3)
    short = figures.row.expected["short"]
    row = next(line for line in said.splitlines() if line.startswith(use.case))
    wanted = [use.case, ITEM, str(use.quantity), str(use.quantity - short), str(short)]
    assert row.split()[:5] == wanted, f"{figures.row}: the table says {row!r}"
    book.desk.ok(f"issue {use.case} --partial --by NU -y")
    _compare_picks(figures, book, use)


def _shelf_of_lots(figures: Figures, folder: Path) -> tuple[OneItemBook, Use]:
    """The lots of the row in the store, and today a case that wants some of them."""
    today, lots, quantity = figures.given("today", "lots", "issue_qty")
    shelf = [Lot(lot["lot"], lot["received"], lot["expiry"], lot["qty"]) for lot in lots]
    opened = max(lot.received for lot in shelf)
    book = OneItemBook(folder, opened)
    book.open_with(shelf, opened)
    for lot in lots:
        assert lot.get("status", "quarantine") == "quarantine", f"{figures.row}: {lot}"
        if "status" in lot:
            named = f"--item {ITEM} --lot {lot['lot']} --reason suspected-defect"
            book.desk.ok(f"quarantine start {named} --by MA")
    use = Use("CASE", today, quantity)
    book.schedule([use], opened)
    book.desk.today = today
    return book, use


def _compare_picks(figures: Figures, book: OneItemBook, use: Use) -> None:
    """The picks, what the case still lacks, and every other unit where it was."""
    picks = book.issued_lots()
    ((missing,),) = book.desk.rows("SELECT missing FROM theatre_case WHERE code = ?", use.case)
    figures.equal("picks", picks)
    figures.equal("short", sum(gap["quantity"] for gap in json.loads(missing)))
    left = {lot["lot"]: lot["qty"] for lot in figures.row.inputs["lots"]}
    for number, quantity in picks:
        left[str(number)] -= quantity
    found = {lot: quantity for (_, lot), quantity in book.desk.on_hand(ITEM, "STORE").items()}
    assert found == {lot: quantity for lot, quantity in left.items() if quantity}
    book.verify()


def kit_explosion(figures: Figures, folder: Path) -> None:
    """A theatre is filled for the lists of so many days: what their kits need comes in."""
    cases, units, days = figures.given("cases_per_day", "units_per_case", "days")
    first_day = f"{YEAR}-01-01"
    book = OneItemBook(folder, first_day)
    book.open_with([Lot("ALL", first_day, "", 2 * figures.row.expected["units"])], first_day)
    planned = [
        f"L{day},{days_after(first_day, day)},OT1,C{day}-{n},{n + 1},P-1,left,KIT,paid"
        for day in range(days) for n in range(cases)
    ]  # fmt: skip
    header = "list,day,theatre,case,position,patient,eye,procedure,category"
    files = {
        "kits": f"procedure,category,kind,item,quantity\nKIT,paid,always,{ITEM},{units}\n",
        "lists": "\n".join([header, *planned]),
        "levels": f"place,item,lists\nOT1,{ITEM},{days}\n",
    }
    desk = book.desk
    for kind, text in files.items():
        desk.ok(f"import {kind} {desk.file(f'{kind}.csv', text)} --by MA", today=first_day)
    desk.ok("move --fill OT1 --by KE -y", today=first_day)
    figures.equal("units", sum(desk.on_hand(ITEM, "OT1").values()))
    book.verify()


ARITHMETIC: dict[str, Check] = {
    "AMC excluding stocked-out/short months": card.average_of_months,
    "stock-card identity: implied receipts": card.stock_card,
    "perpetual FIFO": cost_in_order_of_receipt,
    "specific identification by lot": cost_of_named_lots,
    "FEFO: earliest expiry first, not earliest receipt; expired and quarantined lots skipped": (
        picked_in_full
    ),
    "FEFO shortfall is reported, never negative": picked_short,
    "perpetual moving average": valuing.moving_average,
    "perpetual LIFO (negative control: not allowed by IAS 2)": valuing.last_in_first_out,
    "goods-available identity": valuing.goods_available,
    "inventory turnover and days in stock": valuing.turnover_and_days,
    "count error of -1,500 at year end self-corrects over two years": valuing.count_error,
    "lower of cost and market/NRV, item by item": valuing.lower_of_cost_and_market,
    "FIFO / weighted average, small": valuing.fifo_and_average,
    "need = cases x units per case x days": kit_explosion,
    "AMC adjusted for stock-out days (30.4)": handbooks.adjusted_for_days_out,
    "consumption-based order quantity QO": handbooks.reorder_quantity,
    "max-min, forced ordering": handbooks.forced_ordering,
    "max-min, MSH worksheet (SS >= one review period)": handbooks.worksheet,
    "wastage factor = 100/(100-rate)": handbooks.wastage_factors,
    "wastage from doses used vs issued": handbooks.wastage_of_use,
    "compound wastage 1-(1-wc)^n (1-wo)": handbooks.compound_wastage,
    "ABC item shares": handbooks.shares_of_items,
    "ABC-VED matrix categories I/II/III": handbooks.shares_of_items,
    "ABC value shares": handbooks.shares_of_value,
    "ABC classification by annual value": handbooks.classes_by_value,
    "ABC counts at 70/20/10 value cut": handbooks.counts_at_a_cut,
    "settlement discount reduces inventory cost": invoicing.settlement_discount,
    "return + discount": invoicing.return_and_discount,
    "break-even, single product": sharing.one_product,
    "break-even sensitivity table": sharing.changed_inputs,
    "multi-product break-even (composite unit) = cross-subsidy arithmetic": sharing.product_mix,
    "cross-subsidy: 1 paid : 2 free": sharing.paid_for_free,
    "activity-based cost per unit": sharing.activity_based,
    "step-down allocation, 2 service departments": sharing.stepping_down,
    "EOQ": ordering.economic_quantity,
    "EOQ cost at a given Q": ordering.cost_at_a_quantity,
    "EOQ with backorders": ordering.with_backorders,
    "EOQ all-units discount": ordering.price_breaks,
    "EOQ, units trap (monthly demand given)": ordering.use_by_the_month,
    "newsvendor normal / base-stock": levelling.base_stock,
    "newsvendor from price/cost/salvage": levelling.from_prices,
    "newsvendor discrete pmf: smallest S with F(S)>=ratio": levelling.by_chances,
    "newsvendor Poisson": levelling.of_counts,
    "(s,S) Poisson exact: order when position <= s": levelling.minimum_and_maximum,
    "(r,Q) Poisson exact": levelling.reorder_point,
    "Wagner-Whitin lot sizing": ordering.deliveries_over_time,
    "Silver-Meal": ordering.rule_of_thumb,
    "Silver-Meal textbook form fails with zero-demand periods (no-list days)": (
        ordering.rule_of_thumb_that_fails
    ),
    "ROP, demand AND lead time variable": levelling.both_vary,
    "cycle service level (type 1) vs fill rate (type 2)": levelling.cycle_and_fill,
    "type 1 vs type 2 reorder point": levelling.type_1_and_2,
    "Poisson reorder point, discrete boundary": levelling.level_of_counts,
    "Poisson reorder point": levelling.level_of_counts,
    "Poisson loss": levelling.loss_of_counts,
    "joint replenishment (Silver 1976 heuristic)": ordering.ordered_together,
    "joint replenishment": ordering.ordered_together,
    "shelf-life cap on order quantity": levelling.capped_by_shelf_life,
    "cycle-count workload per day": ordering.counted_a_day,
}
SCANS: dict[str, Check] = {"scan": scans.read_and_told}
CHECKS = {
    "arithmetic.csv": ARITHMETIC,
    "forecast.csv": FORECAST,
    "lens_bank.csv": LENS_BANK,
    "scans.csv": SCANS,
}
