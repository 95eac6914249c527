"""Charts as pictures: bars beside one another, drawn by an optional library, for any report.

Colour never carries meaning alone: every bar is named on its axis, marks have words beside them.
"""

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from stockbook.errors import InputError

FORMATS = (".png", ".svg")
WITHOUT = (
    "The charts are left out: they need the extra 'charts' (pip install 'stockbook[charts]'). "
    "The tables hold every figure that they draw."
)
FILL, HATCHED = "#3b6ea5", "#d9e3ee"


class Chart(Protocol):
    """What is drawn: what it is, what it shows in words, and the drawing itself."""

    @property
    def title(self) -> str:
        """What it is."""

    @property
    def alternative(self) -> str:
        """What it shows, in words."""

    def draw(self, figure: Any) -> None:
        """Draw it on a figure of the library."""

    @property
    def inches(self) -> tuple[float, float]:
        """How wide and high it is."""


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
    scaled: bool = True
    """Whether a scale stands below; without one the figures at the bars say all."""

    @property
    def alternative(self) -> str:
        """What the chart shows, in words."""
        told = [f"{bar.name}: {bar.words or f'{bar.value:g}'}" for bar in self.bars]
        return f"{self.title}. {'; '.join([*told, *(mark.words for mark in self.marks)])}."

    @property
    def inches(self) -> tuple[float, float]:
        """How wide and high it is: all bars are of one height, finer where they bear all."""
        return (8, 1.4 + 0.32 * len(self.bars)) if self.scaled else (8, 0.8 + 0.25 * len(self.bars))

    def draw(self, figure: Any) -> None:
        """Bars under one another, marks across."""
        axes = figure.subplots()
        names = [bar.name for bar in self.bars]
        drawn_bars = axes.barh(range(len(names)), [bar.value for bar in self.bars],
                               color=FILL, edgecolor="black", linewidth=0.5)  # fmt: skip
        axes.bar_label(drawn_bars, [bar.words for bar in self.bars], padding=3, fontsize=8)
        axes.set_yticks(range(len(names)), names, fontsize=8)
        axes.invert_yaxis()
        axes.margins(x=0.15)
        _marks(axes, self.marks)
        axes.set_xlabel(self.axis, fontsize=8)
        if not self.scaled:
            axes.set_xticks([])
            axes.spines["bottom"].set_visible(False)
        axes.spines[["top", "right"]].set_visible(False)


def can_draw() -> bool:
    """Whether charts can be drawn here."""
    from importlib.util import find_spec

    return find_spec("matplotlib") is not None


def drawn(chart: Chart, ending: str) -> bytes:
    """The chart as the bytes of a .png or .svg file, the same every time."""
    if ending not in FORMATS:
        raise InputError(f"chart: found {ending!r}, wanted {' or '.join(FORMATS)}.")
    figure = figure_of(chart)
    figure.suptitle(chart.title, fontsize=10, x=0.01, ha="left")
    about = {"Title": chart.title, "Description": chart.alternative}
    return saved(figure, ending[1:], about)


def saved(figure: Any, kind: str, about: dict[str, Any]) -> bytes:
    """A figure as a file's bytes; nothing in them tells when it was drawn."""
    buffer = io.BytesIO()
    figure.savefig(buffer, format=kind, metadata=about | ({"Date": None} if kind == "svg" else {}))
    return buffer.getvalue()


def figure_of(chart: Chart) -> Any:
    """The drawing before it becomes a file, without its title."""
    matplotlib = _library()
    matplotlib.rcParams["svg.hashsalt"] = "stockbook"
    matplotlib.rcParams["svg.fonttype"] = "none"
    from matplotlib.figure import Figure

    figure = Figure(figsize=chart.inches, layout="constrained", dpi=120)
    chart.draw(figure)
    return figure


def _marks(axes: Any, marks: Sequence[Mark]) -> None:
    styles = ("--", ":", "-.")
    for number, mark in enumerate(marks):
        axes.axvline(mark.value, color="black", linestyle=styles[number % len(styles)])
        axes.annotate(
            mark.words, (mark.value, 1), xycoords=("data", "axes fraction"),
            xytext=(0, 3 + 11 * number), textcoords="offset points", fontsize=8, ha="center",
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
