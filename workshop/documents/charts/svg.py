"""Owns turning a chart into SVG that stands inside a page with a strict content policy.

Presentation attributes only: no style, script or outside reference. Ink is `currentColor`, so a dark page shows light
ink. Knows just the shapes the charts use; another shape is a fault of the program, not something to leave out silently.
"""

from collections.abc import Callable
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from reportlab.graphics.shapes import Circle, Drawing, Group, Line, Polygon, PolyLine, Rect, String

from workshop.documents.charts.ink import Accent
from workshop.documents.type import fonts

Attributes = dict[str, object]


def to_svg(drawing: Drawing, title: str, desc: str, ident: str) -> str:
    """The drawing as one `<svg>` element, as wide as its place. `ident`, unique in the page, names title and desc."""
    width, height = _number(drawing.width), _number(drawing.height)
    body = "".join(_shape(shape, float(drawing.height)) for shape in drawing.contents)
    root: Attributes = {
        "xmlns": "http://www.w3.org/2000/svg",
        "role": "img",
        "viewBox": f"0 0 {width} {height}",
        "width": "100%",
        "preserveAspectRatio": "xMidYMid meet",
        "aria-labelledby": f"{ident}-title {ident}-desc",
        "fill": "none",
    }
    heading = _tag("title", {"id": f"{ident}-title"}, escape(title)) + _tag(
        "desc", {"id": f"{ident}-desc"}, escape(desc)
    )
    return _tag("svg", root, heading + body)


def _shape(shape: Any, height: float) -> str:
    for kind, drawn in _DRAWN.items():
        if isinstance(shape, kind):
            return drawn(shape, height)
    raise TypeError(f"svg: no way to draw a {type(shape).__name__}; add it to this module")


def _group(group: Group, height: float) -> str:
    if tuple(group.transform) != (1, 0, 0, 1, 0, 0):
        raise TypeError("svg: a moved or turned group is not drawn; place the shapes themselves")
    return "".join(_shape(shape, height) for shape in group.contents)


def _rect(rect: Rect, height: float) -> str:
    place = {"x": rect.x, "y": height - rect.y - rect.height, "width": rect.width, "height": rect.height}
    return _tag("rect", {**place, **_ink(rect)})


def _line(line: Line, height: float) -> str:
    return _tag("line", {"x1": line.x1, "y1": height - line.y1, "x2": line.x2, "y2": height - line.y2, **_ink(line)})


def _circle(circle: Circle, height: float) -> str:
    return _tag("circle", {"cx": circle.cx, "cy": height - circle.cy, "r": circle.r, **_ink(circle)})


def _points(shape: PolyLine | Polygon, height: float) -> str:
    pairs = zip(shape.points[::2], shape.points[1::2], strict=True)
    points = " ".join(f"{_number(x)},{_number(height - y)}" for x, y in pairs)
    return _tag("polygon" if isinstance(shape, Polygon) else "polyline", {"points": points, **_ink(shape)})


def _string(string: String, height: float) -> str:
    given: Attributes = {"x": string.x, "y": height - string.y, "font-size": string.fontSize, "fill": "currentColor"}
    if string.textAnchor != "start":
        given["text-anchor"] = string.textAnchor
    if string.fontName == fonts.BOLD:
        given["font-weight"] = 700
    given |= _accent(string.fillColor)
    return _tag("text", given, escape(string.text))


def _ink(shape: Any) -> Attributes:
    """Any colour of a chart is ink; what tells marks apart is their form. A tint is thin ink."""
    given: Attributes = {}
    if getattr(shape, "fillColor", None) is not None:
        given = {"fill": "currentColor", **_accent(shape.fillColor)}
        if shape.fillOpacity is not None:
            given["fill-opacity"] = shape.fillOpacity
    if shape.strokeColor is not None:
        given |= {"stroke": "currentColor", "stroke-width": shape.strokeWidth, **_accent(shape.strokeColor)}
        if shape.strokeDashArray:
            given["stroke-dasharray"] = " ".join(_number(step) for step in shape.strokeDashArray)
    return given


def _accent(colour: object) -> Attributes:
    return {"class": colour.name} if isinstance(colour, Accent) else {}


def _tag(name: str, attributes: Attributes, inside: str = "") -> str:
    written = "".join(
        f" {key}={quoteattr(value if isinstance(value, str) else _number(value))}" for key, value in attributes.items()
    )
    return f"<{name}{written}>{inside}</{name}>" if inside else f"<{name}{written}/>"


def _number(value: Any) -> str:
    return f"{float(value):.2f}".rstrip("0").rstrip(".")


_DRAWN: dict[type, Callable[[Any, float], str]] = {
    Group: _group,
    Rect: _rect,
    Line: _line,
    Circle: _circle,
    Polygon: _points,
    PolyLine: _points,
    String: _string,
}
