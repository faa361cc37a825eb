"""The grid sheet read back: its squares in true size on either paper, its form whole in each language."""

from __future__ import annotations

from itertools import pairwise

import pytest

from inventory.base.accounting import services as accounting
from inventory.base.labels.lengths import INCHES, MM as MILLIMETRES
from tests.workshop.documents import reading
from tests.workshop.documents.examples import LONG_MAKER
from tests.workshop.documents.reading import MM, Spot
from tests.workshop.documents.shed_examples import grid_sheet
from workshop.documents import printing
from workshop.documents.kit.page import A4, LETTER, Paper
from workshop.documents.shed import grid_sheet as sheet, squares
from workshop.documents.shed.grid_sheet import HEAVY, LIGHT, GridSheet
from workshop.documents.words.rules import LANGUAGES, Words

METRIC = grid_sheet()
INCH = grid_sheet(ruler=INCHES, frame=squares.USUAL["inch"], area="sq_ft")
PAPERS = {"A4": A4, "letter": LETTER}


def lines(paper: bytes, thick: float, page: int = 0) -> list[tuple[float, float, float, float]]:
    """Left, bottom, width and height of each path in mm, taken as drawn with that line: the reader gives it a thickness more on
    every side."""
    return [_own(spot, thick) for spot in reading.path_spots(paper, page)]


def _own(spot: Spot, thick: float) -> tuple[float, float, float, float]:
    wide, high = spot.right - spot.left - 2 * thick, spot.top - spot.bottom - 2 * thick
    return (spot.left + thick) / MM, (spot.bottom + thick) / MM, wide / MM, high / MM


@pytest.mark.parametrize("size", PAPERS.values(), ids=PAPERS)
@pytest.mark.parametrize(("which", "side", "count"), [(METRIC, 100, 4), (INCH, 152.4, 1)], ids=["mm", "in"])
def test_each_square_is_printed_in_true_size(which: GridSheet, side: float, count: int, size: Paper) -> None:
    paper = sheet.render(which, size)
    found = [each for each in lines(paper, HEAVY) if each[2] > 50 and each[3] > 50]
    assert len(found) == count
    assert all(each[2:] == pytest.approx((side, side), abs=0.005) for each in found)
    assert reading.size_mm(paper) == (size.width_mm, size.height_mm)
    lefts = sorted({round(each[0], 2) for each in found})
    assert [round(right - left, 2) for left, right in pairwise(lefts)] == [side] * (len(lefts) - 1)
    # In the middle, and inside what plain printers leave white.
    assert lefts[0] == pytest.approx((size.width_mm - side * count**0.5) / 2, abs=0.01)
    assert lefts[0] >= 5


@pytest.mark.parametrize(("which", "part", "count"), [(METRIC, 10, 18), (INCH, 25.4, 5)], ids=["mm", "in"])
def test_small_squares_are_a_centimetre_or_an_inch(which: GridSheet, part: float, count: int) -> None:
    side = float(which.printed.side) * which.printed.across
    found = lines(sheet.render(which), LIGHT)
    upright = sorted(left for left, _, wide, high in found if wide < 0.01 and high == pytest.approx(side, abs=0.01))
    level = sorted(low for _, low, wide, high in found if high < 0.01 and wide == pytest.approx(side, abs=0.01))
    for places in (upright, level):
        assert len(places) == count
        apart = [round(last - first, 2) for first, last in pairwise(places)]
        assert set(apart) <= {part, 2 * part}  # a heavy line stands between two that are two parts away


@pytest.mark.parametrize(("which", "long"), [(METRIC, 100), (INCH, 101.6)], ids=["mm", "in"])
def test_the_bar_to_measure_is_as_long_as_it_says(which: GridSheet, long: float) -> None:
    paper = sheet.render(which)
    assert [wide for _, _, wide, high in lines(paper, LIGHT) if high < 0.01 and wide == pytest.approx(long, abs=0.005)]
    said = reading.pages(paper)[0]
    assert f"if it is not {which.ruler.told(which.printed.bar)} long" in said
    assert said.count(which.ruler.told(which.printed.bar)) >= 2


def test_the_picture_has_the_cords_of_the_frame_to_scale() -> None:
    """A thousand wide and 1450 high with a cord each 100: nine and fourteen, and a half strip at the top."""
    paper = sheet.render(grid_sheet(frame=squares.frame("1000x1450")))
    frame = max((each for each in lines(paper, HEAVY, 1) if each[3] > 50), key=lambda each: each[3])
    left, low, wide, high = frame
    assert high / wide == pytest.approx(1.45, abs=0.001)
    inside = lines(paper, LIGHT, 1)
    upright = [each for each in inside if each[2] < 0.01 and each[3] == pytest.approx(high, abs=0.01)]
    level = sorted(each[1] for each in inside if each[3] < 0.01 and each[2] == pytest.approx(wide, abs=0.01))
    assert len(upright) == 9
    assert len(level) == 14
    assert level[0] - low == pytest.approx(wide / 10, abs=0.01)
    assert low + high - level[-1] == pytest.approx(wide / 20, abs=0.01)
    assert left + wide <= 210 - 14 + 0.001
    assert "The narrower strips" in reading.words(paper)
    assert "The narrower strips" not in reading.words(sheet.render(METRIC))


def test_the_form_says_what_a_square_is_and_what_a_count_is_off_by() -> None:
    said = reading.pages(sheet.render(METRIC))[1]
    assert "a cord every 100 mm: one square is 1 dm²" in said
    assert "D × 1 dm²: area, dm²" in said
    for row in ("10 1.8 1.8", "20 2.6 2.6", "40 3.7 3.7", "60 4.5 4.5"):
        assert row in said
    assert "ISO 11646" in said
    assert "ISO 19076" in said
    said = reading.pages(sheet.render(INCH, LETTER))[1]
    assert "Frame 48 × 60 in inside, a cord every 6 in: one square is 0.25 sq ft" in said
    assert "60 4.5 1.12" in said
    assert "mm" not in said


def test_sheets_are_offered_instead_of_cords_only_where_their_squares_are_as_large() -> None:
    assert "Or lay sheets" in reading.words(sheet.render(METRIC))
    closer = reading.words(sheet.render(grid_sheet(frame=squares.frame("1200x1500x50"))))
    assert "Or lay sheets" not in closer
    assert "one square is 0.25 dm²" in closer
    assert "60 4.5 1.1 " in closer


@pytest.mark.thorough(but=4)
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("size", PAPERS.values(), ids=PAPERS)
@pytest.mark.parametrize("typed", ["1000x1450", "4000x4000x70", "400x4000x70", "40x56x6in"])
def test_it_is_two_printable_pages_in_each_language(language: str, size: Paper, typed: str) -> None:
    ruler, area = (INCHES, "sq_ft") if typed.endswith("in") else (MILLIMETRES, "dm2")
    which = grid_sheet(
        workshop=LONG_MAKER["maker"], words=Words(language), frame=squares.frame(typed), ruler=ruler, area=area
    )
    paper = sheet.render(which, size)
    assert len(reading.pages(paper)) == 2
    reading.assert_printable(paper, margin_mm=10)
    assert b"/PrintScaling /None" in paper
    assert "{" not in reading.words(paper)
    assert min(size for page in (0, 1) for _, size in reading.sizes(paper, page)) >= 5
    assert paper == sheet.render(which, size)


@pytest.mark.django_db
def test_the_workshops_own_units_decide_what_is_printed() -> None:
    metric = printing.PAPERS["grid"].read()
    assert (metric.ruler, metric.area, metric.frame) == (MILLIMETRES, "dm2", squares.USUAL["mm"])
    accounting.set_up(units="us", paper="letter", locale="en-US")
    found = printing.PAPERS["grid"].read("40x56", language="fi")
    assert (found.ruler, found.area, found.frame) == (INCHES, "sq_ft", squares.frame("40x56x6in"))
    assert found.words.language == "fi"
    assert reading.size_mm(printing.numbered("grid", "40x56")) == (215.9, 279.4)
