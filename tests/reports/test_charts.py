"""Charts: what is drawn are the answer's figures, and a missing library is said clearly."""

import builtins
import io
from pathlib import Path
from xml.etree import ElementTree

import pytest
from desk import Desk
from PIL import Image

from stockbook.errors import InputError
from stockbook.reports.charts import Bar, BarChart, Mark, drawn, figure_of

CHART = BarChart(
    "Chance of running short", "per cent", (Bar("KNIFE", 90, "9 in 10"), Bar("DYE", 2, "1 in 50")),
    (Mark(50, "half"),),
)  # fmt: skip


def test_what_is_drawn_are_the_figures() -> None:
    (axes,) = figure_of(CHART).axes
    assert [bar.get_width() for bar in axes.patches] == [90, 2]
    assert [label.get_text() for label in axes.get_yticklabels()] == ["KNIFE", "DYE"]
    words = {text.get_text() for text in axes.texts}
    assert {"9 in 10", "1 in 50", "half"} <= words
    assert axes.get_xlabel() == "per cent"


def test_a_picture_opens_and_has_its_words_beside_it() -> None:
    image = Image.open(io.BytesIO(drawn(CHART, ".png")))
    assert image.width > 600
    assert image.height > 150
    assert image.text["Title"] == "Chance of running short"
    assert "KNIFE: 9 in 10" in image.text["Description"]


def test_a_drawing_in_svg_is_xml_with_real_words_and_the_same_every_time() -> None:
    first = drawn(CHART, ".svg")
    ElementTree.fromstring(first)  # noqa: S314 our own file
    assert b"9 in 10" in first
    assert drawn(CHART, ".svg") == first


def test_another_ending_is_refused() -> None:
    with pytest.raises(InputError, match=r"wanted \.png or \.svg"):
        drawn(CHART, ".gif")


def test_without_the_library_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def without(name: str, *given: object, **named: object) -> object:
        if name.startswith("matplotlib"):
            raise ImportError(name)
        return real(name, *given, **named)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(InputError, match=r"stockbook\[charts\]"):
        drawn(CHART, ".png")


def test_the_forecast_writes_its_charts(desk: Desk, tmp_path: Path) -> None:
    for what, name in (("--explain KNIFE", "knife.png"), ("", "all.svg")):
        file = tmp_path / name
        assert f"Written to {file}" in desk.ok(f"forecast {what} -o {file}")
        assert file.stat().st_size > 5000
    assert b"KNIFE" in (tmp_path / "all.svg").read_bytes()
    said = desk.refused(f"forecast -o {tmp_path / 'x.gif'}", 2)
    assert ".svg" in said
