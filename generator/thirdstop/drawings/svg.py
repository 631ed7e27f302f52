"""The only module that writes SVG, by svgwrite: finite numbers, clean text, the same bytes each time.

Colours and widths are presentation attributes, which a strict content security policy allows and which
any rule of a stylesheet overrides by class; there is no style attribute and no style element.
"""

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree

from thirdstop.drawings.fonts import FAMILY
from thirdstop.drawings.palette import Palette
from thirdstop.typed import Array

_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]+")


def num(value: float) -> str:
    """A length in mm with at most two decimals; ValueError where it is not finite."""
    if not math.isfinite(value):
        raise ValueError(f"a drawing can't hold the number {value}")
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def clean(text: str) -> str:
    """Text without what XML does not allow: control characters become a space."""
    return _CONTROL.sub(" ", text)


def identifier(text: str) -> str:
    """A prefix for ids: lower-case letters, digits and hyphens, starting with a letter."""
    plain = re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")
    return plain if plain[:1].isalpha() else f"d-{plain}" if plain else "d"


def path_data(points: Array, closed: bool) -> str:
    """An SVG path through (n, 2) points in mm."""
    steps = " L".join([f"{num(x)} {num(y)}" for x, y in points.tolist()])
    return f"M{steps}{' Z' if closed else ''}"


@dataclass(frozen=True)
class _Shape:
    """One of the thousands of shapes of a drawing, as svgwrite takes an element: it has geometry and nothing
    else, and svgwrite's own element of each would cost more than all that is in it.
    """

    elementname: str
    attributes: dict[str, str]
    """In the order of the alphabet, as svgwrite writes them."""

    def get_xml(self) -> ElementTree.Element:
        """The element, which svgwrite hangs into its group's."""
        return ElementTree.Element(self.elementname, self.attributes)


class Canvas:
    """One drawing as SVG, in millimetres."""

    def __init__(
        self, size_mm: tuple[float, float], prefix: str, title: str, description: str, look: Palette
    ) -> None:
        import svgwrite  # only now: it takes long to load, and most runs draw nothing anew

        self._look = look
        width, height = (num(length) for length in size_mm)
        title_id, description_id = f"{prefix}-title", f"{prefix}-desc"
        self._svg = svgwrite.Drawing(
            size=(f"{width}mm", f"{height}mm"),
            viewBox=f"0 0 {width} {height}",
            debug=False,
            id=prefix,
            class_="drawing",
            role="img",
            aria_labelledby=f"{title_id} {description_id}",
        )
        self._svg.set_desc(title=clean(title), desc=clean(description))
        for element, name in zip(self._svg.elements[:2], (title_id, description_id), strict=True):
            element.xml.set("id", name)

    def lines(self, style: str, strokes: Iterable[tuple[Array, bool]]) -> None:
        """Polylines (n, 2) of one pen, each with whether it is closed."""
        pen = self._look.pens[style]
        attributes: dict[str, Any] = {
            "class_": f"d-{style}",
            "fill": "none",
            "stroke": pen.colour,
            "stroke_width": num(pen.width_mm),
            "stroke_linejoin": "round",
        }
        if pen.dashes_mm:
            attributes["stroke_dasharray"] = " ".join(num(dash) for dash in pen.dashes_mm)
        group = self._svg.g(**attributes)
        for points, closed in strokes:
            group.add(_Shape("path", {"d": path_data(points, closed)}))
        self._add(group)

    def areas(self, style: str, polygons: Iterable[Array]) -> None:
        """Filled polygons (n, 2) of one ink."""
        group = self._svg.g(class_=f"d-fill-{style}", **self._ink(style))
        for points in polygons:
            group.add(_Shape("path", {"d": path_data(points, True)}))
        self._add(group)

    def discs(self, style: str, discs: Iterable[tuple[float, float, float]]) -> None:
        """Filled circles (x, y, radius) of one ink."""
        group = self._svg.g(class_=f"d-fill-{style}", **self._ink(style))
        for x, y, radius in discs:
            group.add(_Shape("circle", {"cx": num(x), "cy": num(y), "r": num(radius)}))
        self._add(group)

    def circles(self, style: str, circles: Iterable[tuple[float, float, float]]) -> None:
        """Circles (x, y, radius) of one pen on paper."""
        pen, paper = self._look.pens[style], self._look.inks["paper"]
        group = self._svg.g(
            class_=f"d-{style} d-fill-paper",
            fill=paper.colour,
            stroke=pen.colour,
            stroke_width=num(pen.width_mm),
        )
        for x, y, radius in circles:
            group.add(_Shape("circle", {"cx": num(x), "cy": num(y), "r": num(radius)}))
        self._add(group)

    def texts(self, style: str, texts: Iterable[tuple[str, float, float, float, int, str, bool]]) -> None:
        """Texts of one colour: (text, x, baseline y, size, weight, anchor, turned to read from the right)."""
        group = self._svg.g(
            class_=f"d-text d-text-{style}",
            fill=self._look.accent if style == "measure" else self._look.ink,
            font_family=f"{FAMILY}, sans-serif",
        )
        for text, x, y, size, weight, anchor, turned in texts:
            attributes: dict[str, Any] = {"font_size": num(size)}
            if weight != 400:
                attributes["font_weight"] = str(weight)
            if anchor != "start":
                attributes["text_anchor"] = anchor
            if turned:
                attributes["transform"] = f"rotate(-90 {num(x)} {num(y)})"
            group.add(self._svg.text(clean(text), insert=(num(x), num(y)), **attributes))
        self._add(group)

    def text(self) -> str:
        """The whole SVG, without an XML declaration, so that a page can hold it."""
        return ElementTree.tostring(self._svg.get_xml(), encoding="unicode")

    def _ink(self, style: str) -> dict[str, str]:
        ink = self._look.inks[style]
        opacity = {} if ink.opacity == 1 else {"fill_opacity": num(ink.opacity)}
        return {"fill": ink.colour, **opacity}

    def _add(self, group: Any) -> None:
        if group.elements:
            self._svg.add(group)
