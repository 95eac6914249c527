"""A report on paper: the page of a terminal set anew as one document that stands alone.

The same function that draws the terminal's page says what stands here; `parts` takes it apart.
Pictures come after it, where they can be drawn; what they show stands in the tables too.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from stockbook.domain.answers import Site, Standing
from stockbook.reports.html import Safe, el, page
from stockbook.reports.page_style import quoted, room, style
from stockbook.reports.page_tables import MARGIN, is_wide, table_html
from stockbook.reports.parts import HeadedTable, Title, Words, taken_apart

if TYPE_CHECKING:
    from stockbook.reports.charts import Chart

STYLE = """
h2 { margin-top: 5mm; }
header { border-bottom: 1.5pt solid #000; margin-bottom: 3mm; padding-bottom: 1mm; }
header p { font-size: 8.5pt; margin: .5mm 0; }
table { font-size: 8.5pt; line-height: 1.25; margin: 0 0 5mm; }
table.narrow { width: auto; min-width: 90mm; }
table.dense { font-size: 7.5pt; }
caption { text-align: left; font-weight: bold; font-size: 10.5pt; padding: 2mm 0 1mm;
  break-after: avoid; }
table.short { break-inside: avoid; }
tbody tr:first-child { break-before: avoid; }
thead th { background: #e6e6e6; vertical-align: bottom; }
th, td { overflow-wrap: anywhere; vertical-align: top; border-color: #666; padding: .5mm 1.2mm; }
tbody th { font-weight: normal; }
.right { text-align: right; white-space: nowrap; overflow-wrap: normal;
  font-variant-numeric: tabular-nums; }
thead .right { white-space: normal; overflow-wrap: anywhere; }
.whole { overflow-wrap: normal; white-space: nowrap; }
.sum th, .sum td { font-weight: bold; border-top: 1.2pt solid #000; }
figure { margin: 0 0 6mm; break-inside: avoid; }
figcaption { font-weight: bold; font-size: 10.5pt; margin-bottom: 1mm; }
svg { display: block; width: 100%; height: auto; max-width: 182mm; }
@media screen { body { padding: 4mm 0; } }
"""


def printed(
    report: Callable[[], str], site: Site, standing: Standing,
    charts: "Callable[[], Sequence[Chart]] | None" = None,
) -> str:  # fmt: skip
    """One document to print: the report's tables and words, its pictures, where it is from."""
    parts = taken_apart(report)
    title = next((part.words for part in parts if isinstance(part, Title)), "Report")
    landscape = any(isinstance(p, HeadedTable) and is_wide(p, site.paper) for p in parts)
    width = room(site.paper, margin=MARGIN, landscape=landscape)
    said = Words(f"Last entry {standing.last_entry}, checksum {standing.checksum}")
    body = [_of_part(p, width) for p in parts if not isinstance(p, Title) and p != said]
    pictures = list(_pictures(charts() if charts else ()))
    edges = _edges(title, site, standing)
    css = style(site.paper, STYLE, margin=MARGIN, landscape=landscape, edges=edges)
    css += f"svg {{ max-height: {_tallest(site.paper, landscape=landscape)}mm; }}\n"
    return page(title, css, _head(title, site, standing), el("main", *body, *pictures)) + "\n"


def _tallest(paper: str, *, landscape: bool) -> int:
    """How high a picture may be that shares its sheet with its heading, in millimetres."""
    return room(paper, margin=MARGIN, landscape=not landscape) - 30


def made_from(standing: Standing) -> str:
    """From which state of the book a page was made."""
    return f"Book as after entry {standing.last_entry}, checksum {standing.checksum}."


def demonstration(site: Site) -> tuple[Safe, ...]:
    """What a page of a demonstration says first."""
    return (el("strong", "DEMONSTRATION, invented data. "),) if site.demonstration else ()


def _head(title: str, site: Site, standing: Standing) -> Safe:
    return el(
        "header", el("h1", title), el("p", *demonstration(site), f"{site.name}. Book {site.book}"),
        el("p", made_from(standing)),
    )  # fmt: skip


def _edges(title: str, site: Site, standing: Standing) -> str:
    """What stands in the margins of every sheet: what it is, whose, from which entry, its number.

    The first sheet has the page's own head.
    """
    whose = f"{site.name}. DEMONSTRATION, invented data" if site.demonstration else site.name
    font = "font: 7pt sans-serif; color: #000;"
    return (
        f"@top-left {{ content: {quoted(title)}; {font} }} "
        f"@top-right {{ content: {quoted(whose)}; {font} }} "
        f"@bottom-left {{ content: {quoted(made_from(standing))}; {font} }} "
        f'@bottom-right {{ content: "Page " counter(page) " of " counter(pages); {font} }} '
    )


def _of_part(part: HeadedTable | Words, width: int) -> Safe:
    return el("p", part.text) if isinstance(part, Words) else table_html(part, width)


def _pictures(charts: "Sequence[Chart]") -> Iterator[Safe]:
    """Each chart as a picture inside the page, or one line that says what draws them."""
    if not charts:
        return
    from stockbook.reports.charts import WITHOUT, can_draw
    from stockbook.reports.inline_svg import inline

    yield el("h2", "Charts")
    if not can_draw():
        yield el("p", WITHOUT)
        return
    for number, chart in enumerate(charts, start=1):
        yield el("figure", el("figcaption", chart.title), inline(chart, f"chart-{number}"))
