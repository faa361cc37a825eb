from __future__ import annotations

from datetime import date

import pytest

from costing.make.baths.chemistry import cautions
from tests.workshop.documents import reading
from tests.workshop.documents.examples import LONG_MAKER, LONG_NUMBER, UNBROKEN
from tests.workshop.documents.shed_examples import LONG_CUSTOMER, stand_in_sheet, tub
from workshop.documents.kit.text import TextTooLong
from workshop.documents.shed import stand_in_sheet as sheet

MM = reading.MM


def test_the_sheet_says_who_is_in_what_what_comes_next_and_what_hurts() -> None:
    said = reading.words(sheet.render(stand_in_sheet()))
    for text in (
        "Stand-in sheet: the tubs",
        "Ask: Kelokangas Reindeer Group",
        "Tub 2",
        "Batch B1",
        "Recipe R1 v1",
        "Skins H01, H02, H03",
        "At risk: 193.52 EUR",
        "Tue 21 Jan 2025: turn every skin",
        "Frame F2",
        "printed 20 Jan 2025",
    ):
        assert text in said
    assert cautions.CAUTIONS["gas"].said in said
    assert cautions.CAUTIONS["eyes"].said in said


def test_a_tub_with_nothing_due_and_nothing_known_says_so() -> None:
    said = reading.words(sheet.render(stand_in_sheet()))
    assert "Nothing to do but look." in said
    assert "Nothing known." in said
    assert said.count("At risk") == 1


def test_nobody_named_leaves_a_line_to_write_on() -> None:
    assert "Nobody is named" in reading.words(sheet.render(stand_in_sheet(contacts=())))


def test_an_empty_shed_says_so() -> None:
    assert "No tub or frame is in use." in reading.words(sheet.render(stand_in_sheet(tubs=())))


def test_each_step_has_a_square_to_tick() -> None:
    squares = [
        spot
        for spot in reading.path_spots(sheet.render(stand_in_sheet()))
        if abs((spot.right - spot.left) - (spot.top - spot.bottom)) < 0.1 and spot.right - spot.left > 2 * MM
    ]
    assert len(squares) == 2


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("count", [1, 3, 6])
def test_a_sheet_is_one_printable_page(count: int) -> None:
    paper = sheet.render(stand_in_sheet(tubs=(tub(),) * count))
    assert reading.size_mm(paper) == (210, 297)
    assert len(reading.pages(paper)) == 1
    assert reading.words(paper).count("Tub 2") == count
    reading.assert_printable(paper, margin_mm=10)


def test_fewer_tubs_get_larger_type() -> None:
    def tall(count: int) -> float:
        spots = reading.text_spots(sheet.render(stand_in_sheet(tubs=(tub(),) * count)))
        spot = next(spot for text, spot in spots if text.strip() == "Tub 2")
        return spot.top - spot.bottom

    assert tall(1) > tall(6)


def test_more_than_a_page_holds_goes_on_and_loses_nothing() -> None:
    paper = sheet.render(stand_in_sheet(tubs=tuple(tub(batch=f"B{count}") for count in range(1, 16))))
    pages = reading.pages(paper)
    assert len(pages) == 2
    assert "page 1 of 2" in pages[0]
    assert all(f"Batch B{count}" in " ".join(pages) for count in range(1, 16))


def test_the_longest_names_stay_in_their_boxes() -> None:
    long = tub(
        place="Vajan takaseinän valkoinen elintarvikemuovinen saavi numero 12",
        batch=LONG_NUMBER,
        skins=tuple(f"{LONG_NUMBER} ({LONG_CUSTOMER})" for _ in range(3)),
        recipe=LONG_NUMBER,
        next_steps=((date(2025, 9, 28), UNBROKEN),) * 3,
        risk="12,450,000.00 EUR",
    )
    paper = sheet.render(stand_in_sheet(workshop=LONG_MAKER["maker"], tubs=(long,) * 3, contacts=(LONG_CUSTOMER,) * 3))
    reading.assert_printable(paper, margin_mm=10)
    said = reading.words(paper).replace(" ", "").replace("-", "")
    assert said.count(UNBROKEN) == 9
    assert "12,450,000.00" in said


@pytest.mark.thorough
def test_a_tub_with_more_words_than_a_page_of_large_type_gets_smaller_type() -> None:
    cautions = tuple(f"Mind number {number} of them, and then once more, with gloves." for number in range(30))
    paper = sheet.render(stand_in_sheet(tubs=(tub(cautions=cautions),)))
    assert len(reading.pages(paper)) == 1
    assert all(words in reading.words(paper) for words in cautions)
    reading.assert_printable(paper, margin_mm=10)


def test_a_tub_that_no_page_holds_is_refused_not_cut() -> None:
    with pytest.raises(TextTooLong, match="sheet of steps and cautions"):
        sheet.render(stand_in_sheet(tubs=(tub(cautions=("Mind. " * 1500,)),)))


def test_the_same_sheet_gives_the_same_bytes() -> None:
    assert sheet.render(stand_in_sheet()) == sheet.render(stand_in_sheet())
