from __future__ import annotations

import xml.etree.ElementTree as ET
from decimal import Decimal

import pytest
from reportlab.graphics.shapes import Drawing, Ellipse, Group, Rect

from workshop.documents.charts import charts, svg

SVG = "{http://www.w3.org/2000/svg}"


def parsed(text: str) -> ET.Element:
    return ET.fromstring(text)  # noqa: S314 - our own text, and that it parses is what is tested


def _stock() -> Drawing:
    return charts.bars([("15 Dec", Decimal("0.56")), ("12 Jan", Decimal("-1.36"))], unit="kg", total="Short")


def test_a_chart_is_one_element_with_a_name_and_a_description() -> None:
    root = parsed(svg.to_svg(_stock(), "Potash alum", "Runs short on 12 January", "alum"))
    assert root.tag == f"{SVG}svg"
    assert root.attrib["role"] == "img"
    assert root.attrib["width"] == "100%"
    assert root.attrib["viewBox"] == "0 0 340 60"
    assert [child.text for child in root[:2]] == ["Potash alum", "Runs short on 12 January"]
    assert root.attrib["aria-labelledby"].split() == [root[0].attrib["id"], root[1].attrib["id"]]


def test_a_strict_page_may_hold_it() -> None:
    text = svg.to_svg(_stock(), "t", "d", "alum")
    assert text.startswith("<svg ")
    assert not text.startswith("<?xml")
    for element in parsed(text).iter():
        assert element.tag.removeprefix(SVG) in {
            "svg", "title", "desc", "rect", "line", "circle", "polygon", "polyline", "text"
        }  # fmt: skip
        for name, value in element.attrib.items():
            assert name not in ("style", "class", "href")
            assert not name.startswith("on")
            assert "url(" not in value


def test_ink_follows_the_page_so_that_it_shows_in_the_dark() -> None:
    colours = {
        value
        for element in parsed(svg.to_svg(_stock(), "t", "d", "alum")).iter()
        for name, value in element.attrib.items()
        if name in ("fill", "stroke")
    }
    assert colours == {"currentColor", "none"}


def test_names_are_unique_to_each_chart_of_a_page() -> None:
    both = [svg.to_svg(_stock(), "t", "d", ident) for ident in ("alum", "salt")]
    ids = [element.attrib["id"] for text in both for element in parsed(text).iter() if "id" in element.attrib]
    assert len(ids) == len(set(ids)) == 4


def test_words_are_escaped() -> None:
    drawing = charts.bars([('<b>"Salt" & söda</b>', Decimal(1))], unit="kg")
    text = svg.to_svg(drawing, "<script>", "a & b", 'x"y')
    root = parsed(text)
    assert "<script>" not in text
    assert root[0].text == "<script>"
    assert '<b>"Salt" & söda</b>' in [element.text for element in root.iter(f"{SVG}text")]


def test_upward_on_paper_is_upward_on_the_page() -> None:
    low, high = Drawing(10, 10), Drawing(10, 10)
    low.add(Rect(0, 0, 1, 2))
    high.add(Rect(0, 8, 1, 2))
    assert parsed(svg.to_svg(low, "t", "d", "i"))[2].attrib["y"] == "8"
    assert parsed(svg.to_svg(high, "t", "d", "i"))[2].attrib["y"] == "0"


@pytest.mark.parametrize("shape", [Ellipse(1, 1, 2, 3), Group(Rect(0, 0, 1, 1), transform=(1, 0, 0, 1, 5, 5))])
def test_a_shape_it_cannot_draw_is_an_error_not_a_gap(shape: object) -> None:
    drawing = Drawing(10, 10)
    drawing.add(shape)
    with pytest.raises(TypeError, match="svg: "):
        svg.to_svg(drawing, "t", "d", "i")
