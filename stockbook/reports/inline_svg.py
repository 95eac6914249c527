"""A chart as a picture inside a page: nothing outside the page is named, and it has its words."""

from collections.abc import Iterator
from xml.etree import ElementTree

from stockbook.reports.charts import Chart, figure_of, saved
from stockbook.reports.html import Safe

_DROPPED = ("metadata", "style")


def inline(chart: Chart, name: str) -> Safe:
    """The chart as an element of the page; `name` keeps its parts apart from other pictures'."""
    content = saved(figure_of(chart), "svg", {})
    root = ElementTree.fromstring(content)  # noqa: S314 drawn here a moment ago
    for element in list(root.iter()):
        _own(element, name)
    for attribute in ("width", "height", "version"):
        root.attrib.pop(attribute, None)
    root.attrib |= {"role": "img", "aria-labelledby": f"{name}-title {name}-words"}
    root.attrib["stroke-linejoin"] = "round"
    for place, (tag, ending, words) in enumerate(_words(chart)):
        element = ElementTree.Element(tag, {"id": f"{name}-{ending}"})
        element.text = words
        root.insert(place, element)
    return Safe(ElementTree.tostring(root, encoding="unicode"))


def _words(chart: Chart) -> Iterator[tuple[str, str, str]]:
    yield "title", "title", chart.title
    yield "desc", "words", chart.alternative


def _own(element: ElementTree.Element, name: str) -> None:
    """The element without names of elsewhere, its own names after the picture's."""
    element.tag = _local(element.tag)
    for child in [one for one in element if _local(one.tag) in _DROPPED]:
        element.remove(child)
    given = {_local(key): _here(_local(key), value, name) for key, value in element.attrib.items()}
    element.attrib.clear()
    element.attrib.update(given)


def _local(tag: str) -> str:
    return tag.rpartition("}")[2]


def _here(key: str, value: str, name: str) -> str:
    if key == "id":
        return f"{name}-{value}"
    if key == "href" and value.startswith("#"):
        return f"#{name}-{value[1:]}"
    return value.replace("url(#", f"url(#{name}-")
