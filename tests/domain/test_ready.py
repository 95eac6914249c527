"""Can a list be served? Beside a reference that walks it with plain dicts."""

from dataclasses import dataclass, field, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import DAY, a_lot

from stockbook.domain.facts import Case, Item
from stockbook.domain.kits import Need
from stockbook.domain.picking import Shelf, ShelfRow, Wish
from stockbook.domain.ready import ToServe, lacks, walk
from stockbook.domain.ready_acts import Act, Ground, with_acts

ITEMS = {
    "KNIFE": Item("KNIFE", "Knife", "blades", "each", 0),
    "VISC": Item("VISC", "Viscoelastic", "viscoelastic", "each", 0),
    "VISC-B": Item("VISC-B", "Another", "viscoelastic", "each", 0),
    "RING+21.50": Item("RING+21.50", "Ring", "lens", "each", 0, "RING", 2150),
    "RING+22.00": Item("RING+22.00", "Ring", "lens", "each", 0, "RING", 2200),
}
LENSES = ("RING+21.50", "RING+22.00")
PLACES = ("OT1", "OT2", "STORE")


@dataclass
class Simple:
    """A small world as plain values: rows and cases, for the reference and for the real thing."""

    rows: list[dict] = field(default_factory=list)
    cases: list[dict] = field(default_factory=list)
    common: dict[str, list[Need]] = field(default_factory=dict)

    def in_sequence(self) -> list[dict]:
        """The cases, before the first one of each list what that list uses in common."""
        found, begun = [], set()
        for n, one in enumerate(self.cases, start=1):
            theatre = one["theatre"]
            if theatre not in begun and (needs := self.common.get(theatre)):
                found.append({"code": f"L-{theatre}", "theatre": theatre, "category": None,
                              "needs": needs, "kind": "list"})  # fmt: skip
            begun.add(theatre)
            found.append({"code": f"C{n}", "kind": "patient"} | one)
        return found

    def waiting(self) -> tuple[ToServe, ...]:
        return tuple(
            ToServe(
                Case(c["code"], f"L-{c['theatre']}", n, c["kind"], category=c["category"]),
                c["theatre"], Wish(DAY, (c["theatre"], "STORE"), c["category"]),
                tuple(c["needs"]), tuple(need for need in c["needs"] if not need.standby),
            )
            for n, c in enumerate(self.in_sequence(), start=1)
        )  # fmt: skip

    def shelf_rows(self) -> tuple[ShelfRow, ...]:
        return tuple(
            ShelfRow(
                r["place"],
                a_lot(n, r["item"], expires_on=r["expires"], categories=r["categories"]),
                r["quantity"], 100,
            )
            for n, r in enumerate(self.rows, start=1)
        )  # fmt: skip

    def ground(self) -> Ground:
        return Ground(self.waiting(), self.shelf_rows(), ITEMS, frozenset(PLACES))


class Walked:
    """The reference: units by row in a plain dict, taken case by case."""

    def __init__(self, world: Simple) -> None:
        self.rows = dict(enumerate(world.rows))
        self.units = {n: row["quantity"] for n, row in self.rows.items()}

    def usable(self, item: str, case: dict) -> list[int]:
        found = []
        for n, row in self.rows.items():
            allowed = not row["categories"] or case["category"] in row["categories"]
            near = row["place"] in (case["theatre"], "STORE")
            if row["item"] == item and near and allowed and row["expires"] >= DAY:
                found.append((row["place"] == "STORE", row["expires"], n))
        return [n for *_, n in sorted(found) if self.units[n]]

    def there(self, item: str, case: dict) -> int:
        return sum(self.units[n] for n in self.usable(item, case))

    def gets(self, need: Need, case: dict) -> bool:
        full = [item for item in need.items if self.there(item, case) >= need.quantity]
        left = need.quantity
        for n in self.usable(full[0], case) if full else ():
            part = min(left, self.units[n])
            self.units[n] -= part
            left -= part
        return not left

    def still_has(self, need: Need, case: dict) -> bool:
        if need.standby:
            return any(self.there(item, case) >= need.quantity for item in need.items)
        return need.items[0] not in LENSES or self.there(need.items[0], case) > 0


def reference(world: Simple) -> bool:
    """Walk each case over a dict of units; afterwards look for standby and spares."""
    walked = Walked(world)
    wanted = [(need, case) for case in world.in_sequence() for need in case["needs"]]
    drawn = [walked.gets(need, case) for need, case in wanted if not need.standby]
    return all(drawn) and all(walked.still_has(need, case) for need, case in wanted)


rows = st.fixed_dictionaries({
    "item": st.sampled_from(tuple(ITEMS)),
    "place": st.sampled_from(PLACES),
    "quantity": st.integers(1, 5),
    "expires": st.sampled_from(("2027-02-28", "2027-03-01", "2027-06-30", "2028-01-31")),
    "categories": st.sampled_from(((), (), ("free",), ("paid",))),
})  # fmt: skip
needs = st.one_of(
    st.builds(Need, st.sampled_from((("KNIFE",), ("VISC",))), st.integers(1, 2)),
    st.builds(Need, st.sampled_from((("VISC", "VISC-B"), ("VISC-B", "VISC"))), st.integers(1, 2)),
    st.builds(Need, st.sampled_from((("KNIFE",), ("VISC", "VISC-B"))), st.just(1), st.just(True)),
    st.builds(Need, st.sampled_from(LENSES).map(lambda lens: (lens,)), st.just(1)),
)
cases = st.fixed_dictionaries({
    "theatre": st.sampled_from(("OT1", "OT2")),
    "category": st.sampled_from(("free", "paid")),
    "needs": st.lists(needs, max_size=4),
})  # fmt: skip
common = st.lists(
    st.one_of(
        st.builds(Need, st.sampled_from((("KNIFE",), ("VISC",))), st.integers(1, 2)),
        st.builds(Need, st.just(("VISC-B", "VISC")), st.integers(1, 3)),
    ),
    max_size=2,
)
worlds = st.builds(
    Simple, st.lists(rows, max_size=12), st.lists(cases, min_size=1, max_size=4),
    st.dictionaries(st.sampled_from(("OT1", "OT2")), common),
)  # fmt: skip


@settings(max_examples=400)
@given(worlds)
def test_ready_says_yes_if_and_only_if_the_reference_can_serve_every_case(world: Simple) -> None:
    ground = world.ground()
    served = walk(ground.waiting, Shelf(ground.rows), ITEMS)
    assert all(one.is_ready for one in served) is reference(world)
    assert bool(lacks(served)) is not reference(world)


@given(worlds)
def test_what_is_missing_adds_up(world: Simple) -> None:
    ground = world.ground()
    served = walk(ground.waiting, Shelf(ground.rows), ITEMS)
    for lack in lacks(served):
        assert 0 < lack.short <= lack.wanted
        assert lack.usable == lack.wanted - lack.short
        assert {one.case.code for one in served if not one.is_ready} >= set(lack.cases)


@given(worlds)
def test_what_is_offered_helps_and_never_names_another_lens(world: Simple) -> None:
    ground = world.ground()
    found = lacks(walk(ground.waiting, Shelf(ground.rows), ITEMS))
    for lack in with_acts(ground, found):
        assert lack.acts
        for act in lack.acts:
            if lack.item in LENSES:
                assert act.item == lack.item
            if act.kind == "sequence":
                moved = next(w for w in ground.waiting if w.case.code == act.case)
                rest = [w for w in ground.waiting if w is not moved]
                assert moved.case.kind == "patient"
                at = next(
                    (n for n, w in enumerate(rest)
                     if w.case.list == moved.case.list and w.case.kind == "patient"), len(rest)
                )  # fmt: skip
                order = [*rest[:at], moved, *rest[at:]]
                after = lacks(walk(order, Shelf(ground.rows), ITEMS))
                assert lack.item not in {one.item for one in after}


# The rules, one by one


def row(item: str, place: str = "STORE", quantity: int = 1, **changes: object) -> dict:
    given = {"item": item, "place": place, "quantity": quantity, "expires": "2028-01-31",
             "categories": ()}  # fmt: skip
    return given | changes


def case(*needs: Need, theatre: str = "OT1", category: str = "paid") -> dict:
    return {"theatre": theatre, "category": category, "needs": list(needs)}


LENS = Need(("RING+21.50",), 1)
KNIFE = Need(("KNIFE",), 1)
EITHER = Need(("VISC", "VISC-B"), 2)
STANDBY = Need(("VISC",), 1, standby=True)


def missing(world: Simple) -> dict[str, tuple[int, int, int]]:
    ground = world.ground()
    found = lacks(walk(ground.waiting, Shelf(ground.rows), ITEMS))
    return {lack.item: (lack.wanted, lack.usable, lack.short) for lack in found}


def acts(world: Simple) -> list[Act]:
    ground = world.ground()
    found = lacks(walk(ground.waiting, Shelf(ground.rows), ITEMS))
    return [act for lack in with_acts(ground, found) for act in lack.acts]


@pytest.mark.parametrize(("there", "short"), [(1, 2), (2, 1), (3, 0), (4, 0)])
def test_two_patients_of_one_power_need_the_spare_besides(there: int, short: int) -> None:
    found = missing(Simple([row("RING+21.50", quantity=there)], [case(LENS), case(LENS)]))
    assert found == ({"RING+21.50": (3, 3 - short, short)} if short else {})


def test_another_power_is_no_spare_and_is_never_offered() -> None:
    world = Simple([row("RING+21.50"), row("RING+22.00", quantity=9)], [case(LENS)])
    assert missing(world) == {"RING+21.50": (2, 1, 1)}
    assert acts(world) == [Act("none", "RING+21.50", 1)]


def test_one_spare_in_the_store_serves_both_theatres() -> None:
    cases = [case(LENS), case(LENS, theatre="OT2")]
    assert missing(Simple([row("RING+21.50", quantity=3)], cases)) == {}
    apart = [row("RING+21.50", quantity=2), row("RING+21.50", "OT1")]
    assert missing(Simple(apart, cases)) == {}


def test_a_spare_in_the_other_theatre_is_to_be_fetched() -> None:
    world = Simple([row("RING+21.50"), row("RING+21.50", "OT2", 2)], [case(LENS)])
    assert acts(world) == [Act("fetch", "RING+21.50", 1, "OT2", "OT1")]


def test_a_standby_line_is_needed_once_and_beside_what_is_drawn() -> None:
    cases = [case(STANDBY, Need(("VISC",), 1)), case(STANDBY)]
    assert missing(Simple([row("VISC")], cases)) == {"VISC": (2, 1, 1)}
    assert missing(Simple([row("VISC", quantity=2)], cases)) == {}


def test_nothing_is_fetched_from_where_it_is_needed() -> None:
    world = Simple([row("KNIFE", "OT2")], [case(KNIFE), case(KNIFE, theatre="OT2")])
    assert acts(world) == [Act("none", "KNIFE", 1)]
    kept = Simple([row("VISC", "OT2")], [case(STANDBY), case(STANDBY, theatre="OT2")])
    assert acts(kept) == [Act("none", "VISC", 1, "OT2")]


def test_one_unit_less_is_fetched_where_one_has_to_stay() -> None:
    two = Need(("VISC",), 2)
    world = Simple([row("VISC", "OT2", 2)], [case(two), case(STANDBY, theatre="OT2")])
    assert acts(world) == [Act("fetch", "VISC", 1, "OT2", "OT1"), Act("none", "VISC", 1, "OT2")]


def test_another_sequence_is_offered_where_terms_make_it_matter() -> None:
    """The paid case would take what anybody may use; the free one has a lot of its own."""
    rows = [row("KNIFE", expires="2027-06-30"), row("KNIFE", categories=("free",))]
    paid_last = Simple(rows, [case(KNIFE, category="free"), case(KNIFE)])
    assert acts(paid_last) == [Act("sequence", "KNIFE", case="C2")]
    assert missing(Simple(rows, paid_last.cases[::-1])) == {}


def test_what_a_list_uses_in_common_is_drawn_before_its_first_case() -> None:
    """What is missing is missing for whoever comes last; no case goes before the common use."""
    world = Simple([row("KNIFE", quantity=2)], [case(KNIFE)], {"OT1": [Need(("KNIFE",), 2)]})
    ground = world.ground()
    served = walk(ground.waiting, Shelf(ground.rows), ITEMS)
    assert [(one.case.code, one.is_common, one.is_ready) for one in served] == [
        ("L-OT1", True, True), ("C1", False, False),
    ]  # fmt: skip
    assert acts(world) == [Act("none", "KNIFE", 1)]


def test_what_is_missing_in_common_is_named_as_the_list_s() -> None:
    world = Simple([row("KNIFE", "OT2")], [case()], {"OT1": [KNIFE]})
    ground = world.ground()
    (lack,) = with_acts(ground, lacks(walk(ground.waiting, Shelf(ground.rows), ITEMS)))
    assert (lack.kinds, lack.cases, lack.short) == (("list",), ("L-OT1",), 1)
    assert lack.acts == (Act("fetch", "KNIFE", 1, "OT2", "OT1"),)


def test_another_sequence_leaves_the_common_use_first() -> None:
    rows = [row("KNIFE", expires="2027-06-30"), row("KNIFE", categories=("free",)), row("VISC")]
    world = Simple(rows, [case(KNIFE, category="free"), case(KNIFE)], {"OT1": [Need(("VISC",), 1)]})
    assert acts(world) == [Act("sequence", "KNIFE", case="C2")]
    common_too = Simple(rows[:2], [case(KNIFE, category="free")], {"OT1": [KNIFE]})
    assert missing(common_too) == {}


def test_an_alternative_of_the_kit_is_offered_from_elsewhere() -> None:
    world = Simple([row("VISC"), row("VISC-B", "OT2", 3)], [case(EITHER)])
    assert acts(world) == [Act("alternative", "VISC-B", 2, "OT2", "OT1")]


def test_what_must_not_be_used_is_named_with_the_reason() -> None:
    world = Simple([row("KNIFE", quantity=4, expires="2027-02-28")], [case(KNIFE)])
    ground = world.ground()
    found = with_acts(ground, lacks(walk(ground.waiting, Shelf(ground.rows), ITEMS)))
    assert [(s.place, s.quantity, s.why) for s in found[0].stopped] == [
        ("STORE", 4, "expired 2027-02-28")
    ]


def test_a_case_whose_needs_are_not_known_is_not_ready() -> None:
    one = replace(Simple([], [case()]).waiting()[0], unknown="power unknown")
    (served,) = walk((one,), Shelf([]), ITEMS)
    assert not served.is_ready
    assert lacks((served,)) == ()
