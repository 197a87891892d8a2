"""A chart's SVG made fit to stand inside a page beside other charts."""

from __future__ import annotations

import re
from xml.etree import ElementTree

_LEFT_OUT = {"metadata", "script", "title", "desc"}
_LINK = re.compile(r"url\(\s*['\"]?#([^'\")\s]+)['\"]?\s*\)")


def inline_svg(svg: str, prefix: str, title: str, description: str) -> str:
    """The drawing alone: no prolog, no name spaces, ids that begin with ``prefix``, named by ``title`` and ``description``."""
    root = ElementTree.fromstring(svg.encode())
    _bare(root, prefix)
    _scalable(root)
    root.set("id", prefix)
    root.set("role", "img")
    root.set("aria-labelledby", f"{prefix}-title")
    root.set("aria-describedby", f"{prefix}-desc")
    for tag, text in (("desc", description), ("title", title)):
        named = ElementTree.Element(tag, {"id": f"{prefix}-{tag}"})
        named.text = text
        root.insert(0, named)
    return ElementTree.tostring(root, encoding="unicode")


def _bare(element: ElementTree.Element, prefix: str) -> None:
    """Local names only, and ids that no other chart of the page has."""
    element.tag = _local(element.tag)
    for name, value in list(element.attrib.items()):
        del element.attrib[name]
        local = _local(name)
        if local == "id":
            value = f"{prefix}-{value}"
        elif local == "href" and value.startswith("#"):
            value = f"#{prefix}-{value[1:]}"
        element.set(local, _LINK.sub(rf"url(#{prefix}-\1)", value))
    if element.tag == "style" and element.text:
        element.text = f"#{prefix} {{ {element.text} }}"  # a style of one chart is none of the page's
    for child in list(element):
        if not isinstance(child.tag, str) or _local(child.tag) in _LEFT_OUT:
            element.remove(child)
        else:
            _bare(child, prefix)


def _scalable(root: ElementTree.Element) -> None:
    """As wide as the page allows, in its own proportions."""
    width, height = (re.match(r"[\d.]+", root.attrib.pop(side, "")) for side in ("width", "height"))
    if "viewBox" not in root.attrib and width and height:
        root.set("viewBox", f"0 0 {width[0]} {height[0]}")


def _local(name: str) -> str:
    return name.rsplit("}", 1)[-1]
