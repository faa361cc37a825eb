from __future__ import annotations

from decimal import Decimal

import pytest
from reportlab.graphics.shapes import Drawing, Rect, String
from reportlab.lib.colors import black

from tests.workshop.documents.examples import UNBROKEN
from workshop.documents.charts import charts, ink
from workshop.documents.type import fonts

D = Decimal

MONTHS = [
    (month, D(amount))
    for month, amount in zip(
        ["Jan", "Feb", "Mar", "Apr", "May", "Jun"], ["6.72", "0", "7.8", "0", "3", "0"], strict=True
    )
]

MOVED, COUNTED = ("Profit as money moved", D("105.48")), ("Profit with stock counted", D("268.41"))


def said(drawing: Drawing) -> list[str]:
    return [shape.text for shape in drawing.contents if isinstance(shape, String)]


def bars_of(drawing: Drawing) -> list[Rect]:
    return [shape for shape in drawing.contents if isinstance(shape, Rect)]


def assert_inside_and_apart(drawing: Drawing) -> None:
    spots = []
    for shape in drawing.contents:
        x1, y1, x2, y2 = shape.getBounds()
        assert x1 >= -0.6, shape
        assert y1 >= -0.6, shape
        assert x2 <= drawing.width + 0.6, shape
        assert y2 <= drawing.height + 0.6, shape
        if isinstance(shape, String):
            wide = fonts.width(shape.text, shape.fontName, shape.fontSize)
            left = shape.x - {"start": 0, "middle": wide / 2, "end": wide}[shape.textAnchor]
            spots.append((shape.text, left, left + wide, shape.y))
            assert left >= -0.1
            assert left + wide <= drawing.width + 0.1
    for index, (text, left, right, y) in enumerate(spots):
        for other, left2, right2, y2 in spots[index + 1 :]:
            apart = right <= left2 or right2 <= left or abs(y - y2) >= ink.TYPE * 0.8
            assert apart, (text, other)


ALL = [
    lambda width: charts.usage_by_month(MONTHS, unit="kg", width=width),
    lambda width: charts.usage_by_month([(m, v * 1000) for m, v in MONTHS * 2], unit="g", width=width),
    lambda width: charts.usage_by_month([(m, v - 2) for m, v in MONTHS], unit="kg", width=width),
    lambda width: charts.cost_parts([("Skin", D("12.00")), (UNBROKEN, D("148.00"))], unit="EUR", width=width),
    lambda width: charts.bars([], width=width),
    lambda width: charts.bridge(MOVED, [("More stock", D("162.93"))], COUNTED, unit="EUR", width=width),
    lambda width: charts.bridge(
        (UNBROKEN, D("-105.48")),
        [("Less stock", D("-1162.93")), (UNBROKEN, D("300"))],
        ("End", D("-968.41")),
        unit="EUR",
        width=width,
    ),
    lambda width: charts.bridge(("Start", D(0)), [], ("End", D(0)), unit="EUR", width=width),
]


@pytest.mark.parametrize("width", [340, 700])
@pytest.mark.parametrize("chart", ALL)
def test_nothing_is_clipped_and_no_words_overlap(chart, width: int) -> None:  # type: ignore[no-untyped-def]
    drawing = chart(width)
    assert drawing.width == width
    assert_inside_and_apart(drawing)


@pytest.mark.parametrize("chart", ALL)
def test_ink_is_black_and_nothing_else(chart) -> None:  # type: ignore[no-untyped-def]
    for shape in chart(340).contents:
        assert getattr(shape, "fillColor", None) in (None, black)
        assert getattr(shape, "strokeColor", None) in (None, black)


def test_bars_are_as_tall_as_their_figures() -> None:
    jan, feb, mar, *_ = bars_of(charts.usage_by_month(MONTHS, unit="kg"))
    assert feb.height == 0
    assert jan.height / mar.height == pytest.approx(6.72 / 7.8)


def test_bars_lie_down_when_figures_do_not_fit_side_by_side() -> None:
    drawing = charts.usage_by_month([(m, v * 1000) for m, v in MONTHS * 2], unit="g")
    assert len({bar.height for bar in bars_of(drawing)}) == 1
    assert "6\u202f720 g" in said(drawing)


def test_a_negative_bar_reaches_the_other_way() -> None:
    up, down, *_ = bars_of(charts.usage_by_month([("Jan", D(2)), ("Feb", D(-1))], unit="kg"))
    assert down.y + down.height == pytest.approx(up.y)
    assert down.height == pytest.approx(up.height / 2)


def test_a_step_of_a_bridge_leads_from_the_one_sum_to_the_other() -> None:
    drawing = charts.bridge(MOVED, [("More stock", D("182.93")), ("Deposits held", D("-20.00"))], COUNTED, unit="EUR")
    start, up, down, end = bars_of(drawing)
    assert up.x == pytest.approx(start.x + start.width, abs=1.3)
    assert down.x + down.width == pytest.approx(up.x + up.width, abs=1.3)
    assert end.x + end.width == pytest.approx(down.x, abs=1.3)
    assert (start.fillColor, up.fillColor, end.fillColor) == (black, None, black)
    assert {"+182.93\xa0€", "−20.00\xa0€", "105.48\xa0€", "268.41\xa0€"} <= set(said(drawing))


def test_parts_of_a_cost_end_in_their_exact_sum() -> None:
    parts = [("Skin", D("12.00")), ("Materials", D("8.23")), ("Own hours", D("148.00")), ("Overhead", D("37.00"))]
    drawing = charts.cost_parts([*parts, ("Frame wear", D("1.52"))], unit="EUR")
    assert "206.75\xa0€" in said(drawing)
    assert "12.00\xa0€" in said(drawing)
    assert bars_of(drawing)[-1].fillColor is None


def test_money_keeps_its_cents() -> None:
    assert "12.50\xa0€" in said(charts.cost_parts([("Skin", D("12.50"))], unit="EUR"))


def test_no_figures_are_answered_with_a_sentence() -> None:
    assert said(charts.usage_by_month([], unit="kg")) == ["Nothing used yet"]
