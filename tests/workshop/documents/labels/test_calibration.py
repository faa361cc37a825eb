"""The calibration page read back: every outline where the label is printed, scales that say what is to be entered."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from inventory.base.labels import rules
from inventory.base.labels.lengths import INCHES, MM as MILLIMETRES, Ruler
from inventory.base.labels.rules import Sheet
from tests.workshop.documents import reading
from tests.workshop.documents.reading import MM
from workshop.documents.labels import calibration
from workshop.documents.labels.calibration import OUTLINE, Calibration
from workshop.documents.words.rules import LANGUAGES, Words

MARGINS = replace(rules.COMMON["2 × 7 on A4, with margins"], offset_x=Decimal("0.75"), offset_y=Decimal("-0.5"))
ROLL = rules.checked(Sheet("roll", 1, 1, Decimal(57), Decimal(32)))
SMALLEST = rules.checked(Sheet("a4", 15, 20, *map(Decimal, (10, 10, 8, 8, 2, 2))))
SHEETS = {**rules.COMMON, "own": MARGINS, "roll": ROLL, "smallest": SMALLEST, "halves": rules.equal(1, 2, "a4")}


LETTER = replace(rules.COMMON["3 × 10 on Letter"], offset_x=Decimal("0.794"), offset_y=Decimal("-0.508"))


def render(sheet: Sheet, language: str = "en", ruler: Ruler = MILLIMETRES) -> bytes:
    return calibration.render(Calibration(sheet, "Routamo Skins", Words(language), ruler))


def outlines(paper: bytes, sheet: Sheet) -> list[tuple[float, float]]:
    """Left and top of each outline in mm from the paper's left upper corner, in the order they are drawn.

    The reader gives each path a line's thickness more on every side.
    """
    tall = reading.size_mm(paper)[1]
    found = []
    for spot in reading.path_spots(paper):
        wide, high = (spot.right - spot.left - 2 * OUTLINE) / MM, (spot.top - spot.bottom - 2 * OUTLINE) / MM
        if abs(wide - float(sheet.width)) < 0.1 and abs(high - float(sheet.height)) < 0.1:
            found.append(((spot.left + OUTLINE) / MM, tall - (spot.top - OUTLINE) / MM))
    return found


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)
def test_each_outline_stands_where_its_label_is_printed(sheet: Sheet) -> None:
    found = outlines(render(sheet), sheet)
    assert len(found) == sheet.count
    for (left, top), place in zip(found, sheet.places(), strict=True):
        assert left == pytest.approx(float(place[0]), abs=0.1)
        assert top == pytest.approx(float(place[1]), abs=0.1)


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)
def test_it_is_one_page_of_the_sheets_own_paper_that_no_viewer_shrinks(sheet: Sheet) -> None:
    paper = render(sheet)
    assert b"/PrintScaling /None" in paper
    assert reading.size_mm(paper) == pytest.approx(tuple(map(float, sheet.size)), abs=0.1)
    assert len(reading.pages(paper)) == 1
    reading.assert_told(paper)
    assert min(size for _, size in reading.sizes(paper)) >= 6


def figures(sheet: Sheet, figure: str, ruler: Ruler = MILLIMETRES) -> list[tuple[float, float]]:
    """The middle of each place where a figure is printed, in mm from the paper's left upper corner."""
    paper = render(sheet, ruler=ruler)
    tall = reading.size_mm(paper)[1]
    return [
        ((spot.left + spot.right) / 2 / MM, tall - (spot.bottom + spot.top) / 2 / MM)
        for text, spot in reading.text_spots(paper)
        if text.strip() == figure.replace("-", "\N{MINUS SIGN}")
    ]


@pytest.mark.parametrize("figure", ["10", "5", "-5", "-10"])
def test_a_scale_says_too_far_right_where_the_label_lies_left_of_its_outline(figure: str) -> None:
    """There is room enough above and too little beside: scales on the upper edge and on the right one of label 1."""
    left, top = map(float, next(MARGINS.places()))
    found, miss = figures(MARGINS, figure), int(figure)
    right = left + float(MARGINS.width)
    assert any(x == pytest.approx(right - miss, abs=0.4) and top < y < top + 38 for x, y in found)
    assert any(y == pytest.approx(top - miss, abs=0.4) and left < x < right for x, y in found)


@pytest.mark.parametrize("figure", ["0.3", "0.1", "-0.1", "-0.3"])
def test_a_scale_of_inches_has_the_figure_that_is_entered(figure: str) -> None:
    left, top = map(float, next(LETTER.places()))
    found, miss = figures(LETTER, figure, INCHES), float(INCHES.kept(Decimal(figure)))
    right = left + float(LETTER.width)
    assert any(x == pytest.approx(right - miss, abs=0.4) and top < y < top + 25 for x, y in found)
    assert any(y == pytest.approx(top - miss, abs=0.4) and left < x < right for x, y in found)


@pytest.mark.parametrize("ruler", [MILLIMETRES, INCHES], ids=["mm", "in"])
def test_no_outline_of_another_label_runs_through_a_figure(ruler: Ruler) -> None:
    """Beside label 1 the figures look as they would if there were no label 2, whose edge lies 3 to 5 mm from that of label 1."""
    looked = 0
    for gap in ("3.175", "5"):
        two = Sheet("letter", 2, 1, Decimal(60), Decimal(40), left=Decimal(4), top=Decimal(20), gap_x=Decimal(gap))
        paper, alone = render(two, ruler=ruler), render(replace(two, columns=1), ruler=ruler)
        for text, spot in reading.text_spots(paper):
            if text.strip() in {
                "0.1",
                "0.3",
                "5",
                "10",
                *("\N{MINUS SIGN}" + figure for figure in ("0.1", "0.3", "5", "10")),
            }:
                looked += 1
                assert (
                    reading.picture(paper, 600, place=spot).tobytes()
                    == reading.picture(alone, 600, place=spot).tobytes()
                )
    assert looked == 16


def test_ticks_of_inches_stand_a_fiftieth_apart_and_none_tells_what_is_refused() -> None:
    left, top = map(float, next(LETTER.places()))
    edge = left + float(LETTER.width)
    paper = render(LETTER, ruler=INCHES)
    tall = reading.size_mm(paper)[1]
    across = sorted(
        (spot.left + spot.right) / 2 / MM - edge
        for spot in reading.path_spots(paper)
        if spot.right - spot.left < 1 and abs(tall - (spot.top + spot.bottom) / 2 / MM - top - 25.4 * 0.75) < 0.1
    )
    steps = [round(each / 0.508) for each in across]
    assert steps == list(range(min(steps), max(steps) + 1))
    assert across == pytest.approx([0.508 * step for step in steps], abs=0.02)
    assert max(abs(step) for step in steps) == 19
    rules.calibrated(replace(LETTER, offset_x=Decimal(0)), INCHES.kept(Decimal("0.02") * 19), Decimal(0))


def test_no_scale_stands_on_the_edge_of_the_paper() -> None:
    """It could be neither printed nor compared. Labels without margins are compared at their inner edges, a roll not at all."""
    assert figures(ROLL, "-5") == []
    assert len(figures(rules.equal(1, 2, "a4"), "-5")) == 1
    across, down = figures(rules.equal(3, 7, "a4"), "-5")
    assert across[0] == pytest.approx(75, abs=0.4)
    assert down[1] == pytest.approx(42.4 + 5, abs=0.4)


@pytest.mark.parametrize("language", LANGUAGES)
def test_it_says_how_to_print_it_and_with_which_offset_in_each_language(language: str) -> None:
    paper, words = render(MARGINS, language), Words(language)
    said = reading.words(paper)
    for phrase in (
        *(words(f"calibration.{key}") for key in ("title", "print", "light", "read")),
        Calibration(MARGINS, words=words).offset,
    ):
        assert " ".join(phrase.split()) in said
    assert "0.75" in Calibration(MARGINS, words=words).offset
    assert "\N{MINUS SIGN}0.5" in Calibration(MARGINS, words=words).offset
    assert reading.language(paper) == language


def test_a_page_of_inches_says_nothing_in_millimetres() -> None:
    said = reading.words(render(LETTER, ruler=INCHES))
    assert "an offset of 0.03125 in to the right and \N{MINUS SIGN}0.02 in down" in said
    assert "mm" not in said
    assert "millimet" not in Words()("calibration.outlines", count=3)


@pytest.mark.thorough(but=4)
@pytest.mark.parametrize("ruler", [MILLIMETRES, INCHES], ids=["mm", "in"])
@pytest.mark.parametrize("sheet", {**SHEETS, "letter": LETTER}.values(), ids=[*SHEETS, "letter"])
@pytest.mark.parametrize("language", LANGUAGES)
def test_no_words_lie_over_other_words(sheet: Sheet, language: str, ruler: Ruler) -> None:
    spots = reading.text_spots(render(sheet, language, ruler))
    assert [
        (text, other)
        for at, (text, spot) in enumerate(spots)
        for other, place in spots[at + 1 :]
        if spot.meets(place, 0.5)
    ] == []
