"""The drawing of a sheet of labels: every label in its place, every measure in words, nothing outside or over another."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from itertools import combinations
from typing import Any

import pytest
from reportlab.graphics.shapes import Drawing, Rect, String

from inventory.base.labels import rules
from inventory.base.labels.lengths import INCHES, MM, Ruler
from inventory.base.labels.rules import Sheet
from workshop.documents.charts import ink, label_sheet, svg

SHEETS = {
    **rules.COMMON,
    "roll": Sheet("roll", 1, 1, Decimal(57), Decimal(32)),
    "long roll": Sheet("roll", 1, 1, Decimal(20), Decimal(400)),
    "one": Sheet("a4", 1, 1, Decimal(210), Decimal(297)),
    "smallest": Sheet("a4", 15, 20, *map(Decimal, ("10.125", "10.125", "8.125", "8.125", "2.125", "2.125"))),
}


def words(drawing: Drawing) -> list[tuple[str, float, float, float]]:
    """Each text with its left and right end and its height."""
    found = []
    for shape in drawing.contents:
        if isinstance(shape, String):
            wide = ink.width_of(shape.text)
            left = shape.x - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[shape.textAnchor]
            found.append((shape.text, left, left + wide, shape.y))
    return found


def boxes(drawing: Drawing) -> list[Any]:
    return [shape for shape in drawing.contents if isinstance(shape, Rect)]


@pytest.mark.parametrize("ruler", [MM, INCHES], ids=["mm", "in"])
@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)
def test_words_lie_inside_the_drawing_and_apart(sheet: Sheet, ruler: Ruler) -> None:
    drawing = label_sheet.draw(rules.checked(sheet), ruler)
    assert drawing.width <= ink.PHONE
    found = words(drawing)
    for text, left, right, height in found:
        assert -0.5 <= left <= right <= drawing.width + 0.5, text
        assert 0 <= height <= drawing.height - 8, text
    for (text, left, right, height), (other, start, end, level) in combinations(found, 2):
        assert right <= start or end <= left or abs(height - level) >= ink.TYPE, (text, other)


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)
def test_the_paper_holds_every_label_at_one_scale(sheet: Sheet) -> None:
    paper, *labels = boxes(label_sheet.draw(sheet))
    scale = paper.width / float(sheet.size[0])
    assert paper.height == pytest.approx(float(sheet.size[1]) * scale)
    assert len(labels) == sheet.count
    for box, (left, top) in zip(labels, sheet.places(), strict=True):
        assert box.x - paper.x == pytest.approx(float(left) * scale)
        assert paper.y + paper.height - box.y - box.height == pytest.approx(float(top) * scale)


def test_the_printers_offset_moves_no_label() -> None:
    sheet = rules.COMMON["3 × 7 on A4"]
    moved = replace(sheet, offset_x=Decimal(5), offset_y=Decimal(-5))
    assert svg.to_svg(label_sheet.draw(moved), "t", "d", "i") == svg.to_svg(label_sheet.draw(sheet), "t", "d", "i")


def test_every_measure_is_said_to_who_cannot_see_it() -> None:
    told = label_sheet.told(rules.COMMON["2 × 7 on A4, with margins"])
    assert told == (
        "2 × 7 labels. Across: edge 4.65 mm, width 99.1 mm, gap 2.5 mm. Down: edge 15.15 mm, height 38.1 mm, gap 0 mm."
    )


def test_measures_are_said_by_the_ruler_of_the_workshop() -> None:
    told = label_sheet.told(rules.COMMON["3 × 10 on Letter"], INCHES)
    assert told == (
        "3 × 10 labels. Across: edge 0.1875 in, width 2.625 in, gap 0.125 in. Down: edge 0.5 in, height 1 in, gap 0 in."
    )
