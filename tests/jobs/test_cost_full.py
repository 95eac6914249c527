"""Full cost: what is shared, the theatre's overhead, and the movements behind every figure."""

import json
import random
from pathlib import Path

import pytest
from desk import LIST_KITS, SITE, Desk, new_desk
from hypothesis import given
from hypothesis import strategies as st

from jobs.pages import line_with
from stockbook.domain.full_cost import Own, borne_by, full_costs, together
from stockbook.domain.overhead import CaseOverhead, Rate

MARCH = "--month 2027-03"


@pytest.fixture
def worked(desk: Desk) -> Desk:
    """Three cases, one with waste; a list's common use, a ward's, and what a shelf lost."""
    desk.ok(f"import kits {desk.file('k.csv', LIST_KITS)} --by MA -y")
    desk.ok("finish C1 --as-kit --wasted KNIFE 1 dropped --extra KNIFE 1 --by NU -y")
    desk.ok("finish C2 --as-kit --by NU -y")
    desk.ok("finish C3 --as-kit --by NU -y")
    desk.ok("finish L1 --as-kit --by NU -y")
    desk.ok("issue --service ward --extra VISC 1 --by NU")
    desk.ok("discard DYE 2 --from STORE --reason expired --by KE")
    return desk


def rows(desk: Desk, words: str, sheet: str, key: str) -> dict[str, dict]:
    found = json.loads(desk.ok(f"cost {words} --json"))[sheet]["rows"]
    return {row[key]: row for row in found}


def page(desk: Desk) -> dict[str, dict]:
    return rows(desk, MARCH, "cost", "category")


def groups(desk: Desk, way: str = "category") -> dict[str, dict]:
    return rows(desk, f"{MARCH} --per {way}", "cost_by_group", "group")


def about(desk: Desk, case: str) -> dict[str, str]:
    found = json.loads(desk.ok(f"cost {case} --json"))["case_cost"]
    return {name: value for name, value in found.items() if name != "rows"}


# Sharing


def test_common_use_goes_to_the_cases_and_nothing_is_lost(worked: Desk) -> None:
    found = page(worked)
    common = found.pop("common")
    assert common["full_cost_minor"] == 0
    assert common["list_share_minor"] < 0
    assert common["common_share_minor"] < 0
    total = common["total_minor"] + sum(row["total_minor"] for row in found.values())
    assert sum(row["full_cost_minor"] for row in found.values()) == total
    for name in ("list_share_minor", "common_share_minor"):
        assert common[name] == -sum(row[name] for row in found.values())
    said = worked.ok(f"cost {MARCH}")
    for words in ("Part of lists' common use, by cases", "Part of other common use, by cases",
                  "Full cost", "Full cost, mean of a case"):  # fmt: skip
        assert line_with(said, words)
    assert "Fewer than 10 cases, to be read with care: free, paid." in said


def test_without_cases_what_is_common_stays_common(desk: Desk) -> None:
    desk.ok("discard DYE 2 --from STORE --reason expired --by KE")
    found = page(desk)
    assert found["common"]["full_cost_minor"] == found["common"]["total_minor"] == 5000
    assert [found[c]["full_cost_minor"] for c in ("free", "paid")] == [0, 0]
    assert [found[c]["mean_full_cost_minor"] for c in ("free", "paid")] == [None, None]


@pytest.mark.parametrize("way", ["category", "procedure", "surgeon", "month", "lens"])
def test_groups_bear_what_the_page_by_category_says(worked: Desk, way: str) -> None:
    worked.ok("book settings overhead 'case 450.00' --by FI")
    found = page(worked)
    everything = groups(worked, way).pop("all")
    for name in ("full_cost_minor", "list_share_minor", "common_share_minor", "overhead_minor"):
        assert everything[name] == sum(found[c][name] for c in ("free", "paid"))
    parts = groups(worked, way)
    del parts["all"]
    assert sum(row["full_cost_minor"] for row in parts.values()) == everything["full_cost_minor"]


def test_a_category_added_in_mid_year_stands_beside_the_others(worked: Desk) -> None:
    said = page(worked)
    camp = worked.file("c.csv", "category,name\ncamp,Camp\n")
    worked.ok(f"import categories {camp} --by MA -y")
    found = page(worked)
    new = found.pop("camp")
    assert found == said
    assert (new["cases"], new["full_cost_minor"], new["mean_minor"]) == (0, 0, None)
    worked.ok("case change C3 --category camp --reason payer-changed --by NU")
    found = page(worked)
    assert (found["camp"]["cases"], found["free"]["cases"]) == (1, 0)
    assert found["camp"]["common_share_minor"] > 0
    assert found["free"]["common_share_minor"] == 0


# Overhead


def test_a_rate_a_case_is_borne_by_each_case(worked: Desk) -> None:
    worked.ok("book settings overhead 'case 450' --by FI")
    found = page(worked)
    assert [found[c]["overhead_minor"] for c in ("free", "paid", "common")] == [45000, 90000, 0]
    assert [found[c]["without_minutes"] for c in ("free", "paid")] == [0, 0]
    assert about(worked, "C1")["overhead_minor"] == "45000"
    assert line_with(worked.ok("cost C1"), "450.00 a case") == "Overhead, 450.00 a case 450.00"


def test_a_rate_a_minute_names_the_cases_without_minutes(worked: Desk) -> None:
    worked.ok("book settings overhead 'minute 12.50' --by FI")
    worked.ok("case change C1 --minutes 20 --by NU")
    found = page(worked)
    assert (found["paid"]["overhead_minor"], found["paid"]["without_minutes"]) == (25000, 1)
    assert (found["free"]["overhead_minor"], found["free"]["without_minutes"]) == (0, 1)
    said = worked.ok(f"cost {MARCH}")
    assert "Overhead of 2 cases is not known and not above, for want of minutes: C2, C3." in said
    assert line_with(said, "Full cost, but overhead not known")
    grouped = worked.ok(f"cost {MARCH} --per category")
    assert "for want of minutes: C2, C3." in grouped
    named = json.loads(worked.ok(f"cost {MARCH} --json"))["without_minutes"]["rows"]
    assert named == [{"case": "C3", "group": "free"}, {"case": "C2", "group": "paid"}]
    assert "20 minutes at 12.50 a minute 250.00" in line_with(worked.ok("cost C1"), "Overhead")
    alone = worked.ok("cost C2")
    assert "Overhead is not known" in alone
    assert "case change C2 --minutes N" in alone
    assert line_with(alone, "Full cost but overhead")
    assert "overhead_minor" not in about(worked, "C2")


def test_a_case_s_full_cost_is_the_sum_of_what_it_bears(worked: Desk) -> None:
    worked.ok("book settings overhead 'case 450.00' --by FI")
    said = about(worked, "C1")
    parts = ("used_minor", "wasted_minor", "list_share_minor", "overhead_minor")
    assert int(said["full_cost_minor"]) == sum(int(said[name]) for name in parts)
    assert int(said["wasted_minor"]) > 0


def test_without_a_rate_no_overhead_is_spoken_of(worked: Desk) -> None:
    assert "Overhead" not in worked.ok(f"cost {MARCH}") + worked.ok("cost C1")
    worked.ok("book settings overhead 'minute 12.50' --by FI")
    worked.ok("book settings overhead none --by FI")
    assert "Overhead" not in worked.ok(f"cost {MARCH}") + worked.ok("cost C1")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("450", "wanted none"), ("hour 450", "wanted none"), ("case", "wanted none"),
        ("case -1", "more than nothing"), ("minute 0", "more than nothing"),
        ("case 12.345", "too fine"), ("minute 1,5", "plain number"), ("", "wanted none"),
    ],
)  # fmt: skip
def test_a_malformed_rate_is_refused(desk: Desk, text: str, words: str) -> None:
    said = desk.refused(["book", "settings", "overhead", text, "--by", "FI"], 2)
    assert words in said


@pytest.mark.parametrize("person", ["MA", "NU", "KE", "AU"])
def test_only_finance_says_the_rate(desk: Desk, person: str) -> None:
    said = desk.refused(f"book settings overhead 'case 1' --by {person}", 3)
    assert "this is for finance" in said
    desk.ok("book settings overhead 'case 1' --by FI")


def test_finance_sets_nothing_else(desk: Desk) -> None:
    assert "for manager" in desk.refused("book settings expiring_days 30 --by FI", 3)


@pytest.mark.parametrize(
    ("currency", "rate", "fine", "shown"),
    [("JPY", "case 450", "case 450.5", "450"), ("KWD", "case 450.125", "case 1.125501", "450.125")],
)
def test_currencies_of_no_and_of_three_decimals(
    tmp_path: Path, currency: str, rate: str, fine: str, shown: str
) -> None:
    desk = new_desk(tmp_path, currency=currency)
    texts = {
        **SITE,
        "opening-stock": SITE["opening-stock"].replace(".00,b", ",b").replace(".00\n", "\n"),
    }
    for kind, text in texts.items():
        desk.ok(f"import {kind} {desk.file(f'{kind}.csv', text)} --by MA", today="2027-02-01")
    desk.ok("finish C1 --as-kit --by NU -y")
    assert "too fine" in desk.refused(f"book settings overhead '{fine}' --by FI", 2)
    desk.ok(f"book settings overhead '{rate}' --by FI")
    assert f"Overhead, {shown} a case {shown}" in line_with(desk.ok("cost C1"), "a case")
    minor = int(shown.replace(".", ""))
    assert page(desk)["paid"]["overhead_minor"] == minor
    assert groups(desk)["paid"]["overhead_minor"] == minor


def test_the_currency_stays_once_overhead_was_said_in_it(tmp_path: Path) -> None:
    desk = new_desk(tmp_path)
    desk.ok(f"import staff {desk.file('s.csv', SITE['staff'])} --by MA")
    desk.ok("book settings overhead 'case 450.50' --by FI")
    desk.ok("book settings overhead none --by FI")
    assert "overhead was said in it" in desk.refused("book settings currency JPY --by MA", 3)


# The rate in force


def test_each_case_takes_the_rate_of_its_day(desk: Desk) -> None:
    desk.ok("book settings overhead 'case 100' --by FI")
    desk.ok("finish C1 --as-kit --by NU -y")
    later = {"today": "2027-03-20"}
    desk.ok("book settings overhead 'case 300' --by FI", **later)
    desk.ok("finish C3 --as-kit --by NU -y", **later)
    found = page(desk)
    assert (found["paid"]["overhead_minor"], found["free"]["overhead_minor"]) == (10000, 30000)


@pytest.mark.parametrize(
    ("on", "borne"), [("2027-02-28", 45000), ("2027-03-01", 45000), ("2027-03-02", 0)]
)
def test_a_rate_holds_from_its_day_on(desk: Desk, on: str, borne: int) -> None:
    desk.ok("finish C1 --as-kit --by NU -y")
    desk.ok(f"book settings overhead 'case 450' --on {on} --by FI", today="2027-03-20")
    assert page(desk)["paid"]["overhead_minor"] == borne


def test_the_same_rate_from_an_earlier_day_is_recorded_the_same_twice_is_not(desk: Desk) -> None:
    later = {"today": "2027-03-20"}
    desk.ok("finish C1 --as-kit --by NU -y")
    desk.ok("book settings overhead 'case 450' --by FI", **later)
    assert page(desk)["paid"]["overhead_minor"] == 0
    assert "Recorded" in desk.ok(
        "book settings overhead 'case 450' --on 2027-03-01 --by FI", **later
    )
    assert page(desk)["paid"]["overhead_minor"] == 45000
    for day in ("2027-03-01", "2027-03-20"):
        line = f"book settings overhead 'CASE 450.00' --on {day} --by FI"
        assert "already; nothing was recorded" in desk.ok(line, **later)


def test_a_closed_month_keeps_its_minutes_and_its_rate(worked: Desk) -> None:
    """Minutes typed before the closing count, whenever; later ones never alter the month."""
    april = {"today": "2027-04-02"}
    worked.ok("book settings overhead 'minute 12.50' --by FI")
    worked.ok("case change C1 --minutes 20 --by NU", **april)
    worked.ok("period close 2027-02 --by FI -y", **april)
    worked.ok("period close 2027-03 --by FI -y", **april)
    before, alone = worked.ok(f"cost {MARCH} --json"), about(worked, "C1")
    assert alone["overhead_minor"] == "25000"
    worked.ok("case change C1 --minutes 99 --by NU", **april)
    worked.ok("case change C2 --minutes 99 --by NU", **april)
    worked.ok("book settings overhead 'minute 99' --on 2027-03-01 --by FI", **april)
    after = worked.ok(f"cost {MARCH} --json")
    assert json.loads(after)["cost"] == json.loads(before)["cost"]
    assert about(worked, "C1")["overhead_minor"] == "25000"
    worked.ok("period reopen 2027-03 --reason use-missing --by FI --checked-by MA", **april)
    assert page(worked)["paid"]["overhead_minor"] == (99 + 99) * 1250


def test_as_of_an_entry_minutes_and_rate_are_those_of_then(worked: Desk) -> None:
    worked.ok("book settings overhead 'minute 12.50' --by FI")
    worked.ok("case change C1 --minutes 20 --by NU")
    entry = worked.last()[0]
    said = [worked.ok(f"cost {words}") for words in (MARCH, f"{MARCH} --per sponsor", "C1")]
    worked.ok("case change C1 --minutes 40 --by NU")
    worked.ok("book settings overhead 'case 1' --by FI")
    for words, before in zip((MARCH, f"{MARCH} --per sponsor", "C1"), said, strict=True):
        then = worked.ok(f"cost {words} --as-of-entry {entry}")
        assert [line for line in then.splitlines() if "entry" not in line] == [
            line for line in before.splitlines() if "entry" not in line
        ]


# The movements behind


def sums(desk: Desk, words: str) -> dict[tuple[str, str], int]:
    found = json.loads(desk.ok(f"cost {words} --movements --json"))
    made: dict[tuple[str, str], int] = {}
    for row in found["cost_movements"]["rows"]:
        key = row["figure"], row["group"]
        made[key] = made.get(key, 0) + row["value_minor"]
    assert made == {(r["figure"], r["group"]): r["value_minor"] for r in found["sums"]["rows"]}
    return made


def test_movements_sum_to_every_figure_of_the_page(worked: Desk) -> None:
    """Also where a case was corrected, moved to another category, or undone and done again."""
    worked.ok("case change C2 --not-used DYE 1 --reason typed-wrongly --by NU")
    april = {"today": "2027-04-02"}
    worked.ok("case change C2 --category free --reason payer-changed --by NU", **april)
    for month in ("2027-03", "2027-04"):
        made = sums(worked, f"--month {month}")
        for category, row in rows(worked, f"--month {month}", "cost", "category").items():
            for figure, name in (("used", "used"), ("wasted", "wasted"),
                                 ("earlier cases", "earlier_cases")):  # fmt: skip
                assert made.get((figure, category), 0) == row[f"{name}_minor"]


@pytest.mark.parametrize("way", ["category", "sponsor", "surgeon", "theatre"])
def test_movements_sum_to_every_figure_of_the_groups(worked: Desk, way: str) -> None:
    made = sums(worked, f"{MARCH} --per {way}")
    found = groups(worked, way)
    del found["all"]
    for name, row in found.items():
        assert made.get(("used", name), 0) == row["used_minor"]
        assert made.get(("wasted", name), 0) == row["wasted_minor"]


def test_movements_of_a_case_and_of_one_name(worked: Desk) -> None:
    said = about(worked, "C1")
    made = sums(worked, "C1")
    assert made == {
        ("used", "C1"): int(said["used_minor"]), ("wasted", "C1"): int(said["wasted_minor"])
    }  # fmt: skip
    every = sums(worked, MARCH)
    only = sums(worked, f"{MARCH} --only common")
    assert only == {key: value for key, value in every.items() if key[1] == "common"}
    worked.ok("book settings overhead 'minute 12.50' --by FI")
    worked.ok("case change C1 --minutes 20 --by NU")
    entry = worked.last()[0] - 1
    assert line_with(worked.ok("cost C1 --movements"), "12.50") == (
        f"C1 20 12.50 minute {entry} 250.00"
    )


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("cost --month 2027-03 --movements --only nobody", "nobody has no movement"),
        ("cost --month 2027-03 --only paid", "--only goes with"),
        ("cost C1 --movements --only paid", "--only goes with"),
        ("cost --month 2027-03 --method fifo --movements", "no --method"),
        ("cost --month 2027-03 --movements --per weather", "wanted"),
    ],
)
def test_a_wrong_question_is_wrong_input(worked: Desk, line: str, words: str) -> None:
    assert words in worked.refused(line, 2)


def test_a_period_in_which_nothing_ended_says_so(worked: Desk) -> None:
    assert "Nothing ended here." in worked.ok("cost --month 2027-01 --movements")


# As rules

counts = st.lists(st.integers(0, 50), min_size=1, max_size=6)


@given(counts, st.integers(-(10**9), 10**9), st.integers(0, 2**32))
def test_full_costs_sum_to_all_that_was_spent(cases: list[int], rest: int, seed: int) -> None:
    dice = random.Random(seed)  # noqa: S311 no secret
    own = [Own(f"g{n}", count, dice.randrange(10**9), dice.randrange(10**6), dice.randrange(9))
           for n, count in enumerate(cases)]  # fmt: skip
    shares = {one.name: dice.randrange(10**5) for one in own if one.cases}
    common = Own("common", 0, sum(shares.values()) + rest, 0, common=True)
    found = full_costs([*own, common], shares, {})
    spent = sum(one.used + one.wasted + one.earlier for one in (*own, common))
    assert sum(one.full for one in found) == spent
    assert all(one.common_share == 0 for one in found[:-1] if not one.own.cases)
    if any(cases):
        assert found[-1].full == 0
    whole = together("all", found[:-1])
    assert whole.full + found[-1].full == spent


@given(st.lists(st.tuples(st.sampled_from("ab"), st.none() | st.integers(1, 1440)), max_size=30))
def test_overhead_is_known_or_its_case_is_named(made: list[tuple[str, int | None]]) -> None:
    name_of = {f"C{n:02d}": group for n, (group, _) in enumerate(made)}
    given_ones = [
        CaseOverhead(f"C{n:02d}", minutes, Rate("minute", 7), 1)
        for n, (_, minutes) in enumerate(made)
    ]
    found = borne_by(given_ones, name_of.get)
    for group, borne in found.items():
        known = [m for g, m in made if g == group]
        assert borne.amount == 7 * sum(m for m in known if m is not None)
        assert len(borne.without_minutes) == known.count(None)
