"""Charts of money: panels beside one another, and months with what was used and wasted.

Every bar bears its figure, every line its own kind of point; no meaning lies in a colour.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from stockbook.reports.charts import FILL, HATCHED

WIDTH = 7.2
BESIDE = 4
"""So many panels at most stand beside one another."""
LEAST = 6
"""Room for so many months at least, so that two of them are no walls."""
POINTS = ("o", "s", "^", "D", "v", "P", "X", "*")
LINES = ("-", "--", ":", "-.")


@dataclass(frozen=True, slots=True)
class Panel:
    """One group's bars: a value and its words for each row, none where there is nothing."""

    name: str
    values: tuple[int, ...]
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PanelChart:
    """Groups beside one another over the same rows, all to one scale."""

    title: str
    rows: tuple[str, ...]
    panels: tuple[Panel, ...]

    @property
    def alternative(self) -> str:
        """What the chart shows, in words."""
        return " ".join([f"{self.title}.", *map(self._panel_words, self.panels)])

    def _panel_words(self, panel: Panel) -> str:
        told = zip(self.rows, panel.words, strict=True)
        return f"{panel.name}: {'; '.join(f'{row} {words}' for row, words in told if words)}."

    @property
    def inches(self) -> tuple[float, float]:
        """How wide and high it is."""
        return WIDTH, 0.5 + 0.23 * len(self.rows)

    def draw(self, figure: Any) -> None:
        """Every panel with its bars and figures."""
        grid = figure.subplots(1, len(self.panels), sharex=True, sharey=True, squeeze=False)
        for axes, panel in zip(grid.flat, self.panels, strict=True):
            self._draw_panel(axes, panel)

    def _draw_panel(self, axes: Any, panel: Panel) -> None:
        places = range(len(self.rows))
        bars = axes.barh(places, panel.values, color=FILL, edgecolor="black", linewidth=0.5)
        axes.bar_label(bars, panel.words, padding=2, fontsize=7)
        axes.set_yticks(places, self.rows, fontsize=7.5)
        axes.set_title(panel.name, fontsize=8.5, loc="left")
        axes.set_xticks([])
        axes.margins(x=0.45 if len(self.panels) > 1 else 0.15)
        axes.set_ylim(len(self.rows) - 0.4, -0.6)
        axes.spines[["top", "right", "bottom"]].set_visible(False)


@dataclass(frozen=True, slots=True)
class Line:
    """A figure for each month, none in months that have none."""

    name: str
    values: tuple[int | None, ...]
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MonthChart:
    """Months with what was used and wasted one on the other, and lines of their own below."""

    title: str
    axis: str
    months: tuple[str, ...]
    used: tuple[int, ...]
    wasted: tuple[int, ...]
    lines: tuple[Line, ...]
    lines_axis: str
    scale: int
    """How many minor units make one of the axis."""

    @property
    def alternative(self) -> str:
        """What the chart shows, in words."""
        pairs = zip(self.months, self.used, self.wasted, strict=True)
        told = [f"{m} used {self._figure(u)}, wasted {self._figure(w)}" for m, u, w in pairs]
        lines = [f"{one.name}: {self._line_words(one)}" for one in self.lines]
        return f"{self.title}. {'; '.join(told)}. {self.lines_axis}: {'. '.join(lines)}."

    def _line_words(self, line: Line) -> str:
        told = zip(self.months, line.words, strict=True)
        return "; ".join(f"{month} {words}" for month, words in told if words)

    def _figure(self, value: float) -> str:
        return f"{value / self.scale:,.0f}"

    @property
    def inches(self) -> tuple[float, float]:
        """How wide and high it is."""
        return WIDTH, 4.0

    def draw(self, figure: Any) -> None:
        """Months above, lines below, over the same months."""
        above, below = figure.subplots(2, 1, sharex=True, height_ratios=(3, 2))
        places = range(len(self.months))
        above.bar(places, self.used, color=FILL, edgecolor="black", linewidth=0.5, label="used")
        wasted = above.bar(places, self.wasted, bottom=self.used, color=HATCHED, hatch="////",
                           edgecolor="black", linewidth=0.5, label="wasted")  # fmt: skip
        both = zip(self.used, self.wasted, strict=True)
        above.bar_label(wasted, [self._figure(u + w) for u, w in both], padding=2, fontsize=7)
        for number, line in enumerate(self.lines):
            values = [float("nan") if v is None else v for v in line.values]
            below.plot(
                places, values, color="black", linewidth=1, markersize=5, label=line.name,
                marker=POINTS[number % len(POINTS)], linestyle=LINES[number % len(LINES)],
            )  # fmt: skip
        below.set_xticks(places, self.months, fontsize=7.5, rotation=45, ha="right")
        below.set_xlim(-0.7, max(len(self.months), LEAST) - 0.3)
        self._set(above, self.axis, 2)
        self._set(below, self.lines_axis, len(self.lines))

    def _set(self, axes: Any, words: str, named: int) -> None:
        axes.set_ylabel(words, fontsize=8)
        axes.set_ylim(bottom=0)
        axes.margins(y=0.15)
        axes.yaxis.set_major_formatter(lambda value, _: self._figure(value))
        axes.tick_params(labelsize=7.5)
        axes.spines[["top", "right"]].set_visible(False)
        if named:
            axes.legend(fontsize=7.5, frameon=False, ncols=4, loc="lower left",
                        bbox_to_anchor=(0, 1))  # fmt: skip


def panels(
    title: str, rows: Sequence[str], groups: Sequence[tuple[str, Sequence[int], Sequence[str]]]
) -> PanelChart:
    """Groups of values and words over the same rows."""
    found = (Panel(name, tuple(values), tuple(words)) for name, values, words in groups)
    return PanelChart(title, tuple(rows), tuple(found))
