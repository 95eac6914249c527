"""Every row of `shared/` against the book; each prints its source."""

from pathlib import Path

import pytest

from published.checks import ARITHMETIC, CHECKS, LENS_BANK, SCANS
from published.forecasting import FORECAST
from published.tables import Row, published, run


def _rows(name: str) -> pytest.MarkDecorator:
    rows = published(name)
    return pytest.mark.parametrize("row", rows, ids=[row.name for row in rows])


@_rows("arithmetic.csv")
def test_the_book_gives_the_published_figures(row: Row, tmp_path: Path) -> None:
    run(row, ARITHMETIC, tmp_path)


@_rows("lens_bank.csv")
def test_the_lens_bank_gives_the_frozen_figures(row: Row, tmp_path: Path) -> None:
    run(row, LENS_BANK, tmp_path)


@_rows("forecast.csv")
def test_the_forecast_gives_the_figures_that_were_computed_elsewhere(
    row: Row, tmp_path: Path
) -> None:
    run(row, FORECAST, tmp_path)


@_rows("scans.csv")
def test_a_scan_reads_as_published(row: Row, tmp_path: Path) -> None:
    run(row, SCANS, tmp_path)


@pytest.mark.parametrize("name", CHECKS)
def test_every_topic_of_a_table_has_a_check(name: str) -> None:
    unknown = sorted({row.topic for row in published(name)} - set(CHECKS[name]))
    assert not unknown, f"{name}: no check for {unknown}"


@pytest.mark.parametrize("name", CHECKS)
def test_every_check_has_a_row_that_runs_it(name: str) -> None:
    idle = sorted(set(CHECKS[name]) - {row.topic for row in published(name)})
    assert not idle, f"{name}: no row for {idle}"
