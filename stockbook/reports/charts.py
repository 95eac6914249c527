"""Charts as pictures: bars beside one another, drawn by an optional library, for any report.

Colour never carries meaning alone: every bar is named on its axis, marks have words beside them.
"""

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from stockbook.errors import InputError

FORMATS = (".png", ".svg")


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar with its name, its length and the figure written at its end."""

    name: str
    value: float
    words: str = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """A line across all bars, with what it stands for."""

    value: float
    words: str


@dataclass(frozen=True, slots=True)
class BarChart:
    """Bars under one another, longest scale below, with marks across."""

    title: str
    axis: str
    bars: tuple[Bar, ...]
    marks: tuple[Mark, ...] = ()

    @property
    def alternative(self) -> str:
        """What the chart shows, in words."""
        told = "; ".join(f"{bar.name}: {bar.words or f'{bar.value:g}'}" for bar in self.bars)
        return f"{self.title}. {told}."


def drawn(chart: BarChart, ending: str) -> bytes:
    """The chart as the bytes of a .png or .svg file, the same every time."""
    if ending not in FORMATS:
        raise InputError(f"chart: found {ending!r}, wanted {' or '.join(FORMATS)}.")
    figure = figure_of(chart)
    buffer = io.BytesIO()
    about: dict[str, Any] = {"Title": chart.title, "Description": chart.alternative}
    if ending == ".svg":
        about["Date"] = None
    figure.savefig(buffer, format=ending[1:], metadata=about)
    return buffer.getvalue()


def figure_of(chart: BarChart) -> Any:
    """The drawing before it becomes a file."""
    matplotlib = _library()
    matplotlib.rcParams["svg.hashsalt"] = "stockbook"
    matplotlib.rcParams["svg.fonttype"] = "none"
    from matplotlib.figure import Figure

    figure = Figure(figsize=(8, 1.4 + 0.32 * len(chart.bars)), layout="constrained", dpi=120)
    axes = figure.subplots()
    names = [bar.name for bar in chart.bars]
    drawn_bars = axes.barh(range(len(names)), [bar.value for bar in chart.bars],
                           color="#3b6ea5", edgecolor="black", linewidth=0.5)  # fmt: skip
    axes.bar_label(drawn_bars, [bar.words for bar in chart.bars], padding=3, fontsize=8)
    axes.set_yticks(range(len(names)), names, fontsize=8)
    axes.invert_yaxis()
    axes.margins(x=0.15)
    _marks(axes, chart.marks)
    axes.set_title(chart.title, fontsize=10, loc="left")
    axes.set_xlabel(chart.axis, fontsize=8)
    axes.spines[["top", "right"]].set_visible(False)
    return figure


def _marks(axes: Any, marks: Sequence[Mark]) -> None:
    styles = ("--", ":", "-.")
    for number, mark in enumerate(marks):
        axes.axvline(mark.value, color="black", linestyle=styles[number % len(styles)])
        axes.annotate(
            mark.words, (mark.value, 1), xycoords=("data", "axes fraction"),
            xytext=(3, -10 - 11 * number), textcoords="offset points", fontsize=8,
        )  # fmt: skip


def _library() -> Any:
    """The drawing library, or what to do where it is absent."""
    try:
        import matplotlib
    except ImportError:
        raise InputError(
            "chart: drawing needs the optional library: pip install 'stockbook[charts]'. The "
            "figures are in .csv, .json or .xlsx without it."
        ) from None
    return matplotlib
