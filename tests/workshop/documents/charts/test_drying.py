"""The drawing of a skin that dries: words inside the sheet and apart, the band where the days are, the line broken ahead."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from reportlab.graphics.shapes import Circle, Drawing, Line, PolyLine

from costing.make.readings.drying.rules import Course, Reading, course
from tests.workshop.documents.charts.test_charts import assert_inside_and_apart, said
from workshop.documents.charts import svg
from workshop.documents.charts.drying import Band, drying

UP = datetime(2025, 2, 3, 9, tzinfo=UTC)
SHEEP = (4100, 3380, 2860, 2600)


def told(*grams: int, apart: float = 2.5) -> Course:
    return course([Reading(UP + timedelta(days=apart * nth), Decimal(each)) for nth, each in enumerate(grams)])


def drawn(found: Course, today: date | None = None, width: float = 340) -> Drawing:
    window = found.window
    band = Band(window.begins, window.ends, window.begins_g, window.ends_g)
    return drying([(each.at, each.grams) for each in found.weighed], found.line, band, today=today, width=width)


@pytest.mark.parametrize("width", [340, 700])
@pytest.mark.parametrize(
    "found",
    [
        told(*SHEEP),
        told(350, 300, 270, apart=0.4),
        told(3000, 1200, 1010, 1000),
        told(4100, 4000, 3910, 3830, apart=1),
        told(4100, 3400, 3000, apart=20),
        told(40000, 30000, 24000),
    ],
)
def test_nothing_is_clipped_and_no_words_overlap(found: Course, width: int) -> None:
    for today in (None, UP.date(), found.window.begins.date(), found.window.ends.date()):
        drawing = drawn(found, today, width)
        assert_inside_and_apart(drawing)


def test_it_says_the_days_to_soften_and_the_weights_to_weigh_for() -> None:
    words = said(drawn(told(*SHEEP, apart=3)))
    window = told(*SHEEP, apart=3).window
    assert f"soften {window.begins:%a} {window.begins.day} {window.begins:%b} to" in " ".join(words)
    assert any(f"{window.begins_g / 1000:f}" in text for text in words)
    assert "3 Feb 2025" in words


def test_a_light_skin_is_weighed_in_grams() -> None:
    assert any(text.endswith(" g") for text in said(drawn(told(350, 300, 270))))


def test_each_weighing_is_a_dot_and_the_line_is_broken_beyond_the_last() -> None:
    drawing = drawn(told(*SHEEP))
    assert sum(isinstance(shape, Circle) for shape in drawing.contents) == len(SHEEP)
    lines = [shape for shape in drawing.contents if isinstance(shape, PolyLine)]
    assert [bool(shape.strokeDashArray) for shape in lines] == [False, True]
    assert lines[0].points[-2:] == lines[1].points[:2]


def test_a_skin_weighed_past_its_window_has_no_broken_line() -> None:
    drawing = drawn(told(3000, 1200, 1010, 1000))
    assert [bool(shape.strokeDashArray) for shape in drawing.contents if isinstance(shape, PolyLine)] == [False]


def test_the_hatching_stays_inside_the_band() -> None:
    drawing = drawn(told(*SHEEP))
    edges = [shape for shape in drawing.contents if isinstance(shape, Line) and shape.strokeWidth == 1.2]
    hatch = [shape for shape in drawing.contents if isinstance(shape, Line) and shape.strokeWidth == 0.35]
    left, right = sorted(edge.x1 for edge in edges)
    assert len(hatch) > 5
    assert all(left - 0.01 <= each.x1 < each.x2 <= right + 0.01 for each in hatch)


def test_today_is_named_only_while_it_lies_on_the_sheet() -> None:
    found = told(*SHEEP)
    assert "today" in said(drawn(found, date(2025, 2, 8)))
    assert "today" not in said(drawn(found, date(2025, 2, 1)))
    assert "today" not in said(drawn(found, date(2025, 12, 31)))


def test_it_becomes_a_picture_of_the_page_without_style() -> None:
    picture = svg.to_svg(drawn(told(*SHEEP)), "H01 drying", "words", "drying-1")
    assert "style=" not in picture
    assert picture.count("<circle") == len(SHEEP)
