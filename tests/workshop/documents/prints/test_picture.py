"""The picture of a run's first page: each place where the printer puts it, and what becomes of it."""

from __future__ import annotations

from decimal import Decimal
from functools import partial

import pytest

from inventory.base.labels.rules import COMMON
from workshop.documents.kit import cards
from workshop.documents.kit.cards import Card, Layout
from workshop.documents.kit.page import Paper
from workshop.documents.labelling import Laid, Run
from workshop.documents.prints import picture, run


def laid(layout: Layout | None, *names: str, copies: int = 1, start: int = 1) -> Laid:
    made = tuple(Card(partial(lambda on, box: None), (Paper(85, 55),), name, "") for name in names)
    pages = cards.pages(len(made) * copies, layout, start)
    return Laid(Run("care", names, copies=copies, start=start), made, names, layout, pages)


MARGINS = cards.on_sheet(COMMON["2 × 7 on A4, with margins"])


def test_places_are_where_the_sheet_has_them_in_millimetres_from_its_upper_left_corner() -> None:
    page = picture.first_page(laid(MARGINS, "H03", copies=3, start=2))
    assert (page.width, page.height) == ("210", "297")
    for spot, (left, top) in zip(page.spots, COMMON["2 × 7 on A4, with margins"].places(), strict=True):
        assert (Decimal(spot.left), Decimal(spot.top)) == (left.quantize(Decimal("0.01")), top)
        assert (spot.width, spot.height) == ("99.1", "38.1")
    assert [spot.state for spot in page.spots[:5]] == ["used", "label", "label", "label", "free"]
    assert [spot.name for spot in page.spots[:5]] == ["1", "H03", "H03", "H03", "5"]


@pytest.mark.parametrize("name", ["H3", "Sammalniitty chemical shelf, upper left corner by the window"])
def test_a_name_has_room_in_its_place(name: str) -> None:
    (spot, *_) = picture.first_page(laid(MARGINS, name)).spots
    assert float(spot.size) * 0.62 * len(name) <= float(spot.width)
    assert float(spot.size) < float(spot.height)


def test_a_label_of_its_own_size_is_a_page() -> None:
    page = picture.first_page(laid(None, "H03"))
    assert (page.width, page.height, len(page.spots)) == ("85", "55", 1)


def test_rows_are_as_on_the_sheet() -> None:
    assert picture.rows(cards.on_sheet(COMMON["3 × 7 on A4"]))[1] == [4, 5, 6]
    assert picture.rows(MARGINS)[-1] == [13, 14]


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (laid(None, "H03"), "1 label, on a page of its own."),
        (laid(None, "H03", copies=4), "4 labels, each on a page of its own."),
        (laid(MARGINS, "H03"), "1 label on 1 page, place 1."),
        (laid(MARGINS, "H03", start=14, copies=2), "2 labels on 2 pages, place 14 of the first sheet."),
        (laid(MARGINS, "H03", "H04", start=3, copies=6), "12 labels on 1 page, places 3 to 14."),
        (laid(cards.apart(Paper(210, 297), Paper(85, 55)), "H03"), "1 label on 1 page, place 1, to be cut apart."),
    ],
)
def test_what_a_run_comes_to_is_told(made: Laid, words: str) -> None:
    assert run.told(made) == words
