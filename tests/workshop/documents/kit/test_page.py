from __future__ import annotations

from io import BytesIO

import pytest

from inventory.errors import Refused
from tests.workshop.documents.reading import MM, barcodes, text_spots
from workshop.documents.kit import page as kit
from workshop.documents.kit.page import Box, Paper
from workshop.documents.kit.text import TextTooLong


def _printed(number: str, width: float) -> tuple[bytes, float]:
    buffer = BytesIO()
    on = kit.canvas(buffer, Paper(120, 40), "code", "Routamo Skins")
    taken = kit.barcode(on, Box(30, 30, width, 30), number)
    on.showPage()
    on.save()
    return buffer.getvalue(), taken


@pytest.mark.parametrize("number", ["H03", "H10-H11", "20250001", "2025-ROUTAMO-H03-001", "a b/9"])
def test_a_barcode_reads_back_as_its_number_and_keeps_to_its_box(number: str) -> None:
    paper, taken = _printed(number, 200)
    assert barcodes(paper) == [number]
    assert taken <= 200.001


def test_a_number_outside_plain_ascii_has_no_barcode() -> None:
    with pytest.raises(Refused, match="“Ä1” cannot be printed as a barcode") as refused:
        _printed("Ä1", 200)
    assert refused.value.field == "article"


def test_a_barcode_finer_than_a_plain_printer_can_print_is_refused() -> None:
    with pytest.raises(Refused, match=r"bars of 0\.0"):
        _printed("H" * 60, 100)


def test_tickets_on_a_sheet_lie_side_by_side_inside_it() -> None:
    places = kit.slots(kit.A4, kit.TICKET)
    assert len(places) == 10
    page = kit.A4.box
    for index, place in enumerate(places):
        assert place.x >= 0
        assert place.y >= 0
        assert place.right <= page.right
        assert place.top <= page.top
        for other in places[index + 1 :]:
            apart = place.right <= other.x + 0.01 or other.right <= place.x + 0.01
            assert apart or place.y >= other.top - 0.01 or other.y >= place.top - 0.01


@pytest.mark.parametrize("copies", [0, -1, kit.MOST_COPIES + 1])
def test_a_wrong_number_of_copies_is_refused(copies: int) -> None:
    with pytest.raises(Refused, match=f"{copies} copies were asked for") as refused:
        kit.cards(lambda on, box: None, kit.TICKET, copies=copies, sheet=None, title="t", author="a")
    assert refused.value.field == "copies"


def _tall(words: str, width_mm: float = 80) -> bytes:
    buffer = BytesIO()
    on = kit.canvas(buffer, Paper(100, 40), "tall", "Routamo Skins")
    kit.tall(on, Box(20, 40, width_mm * MM, 12.2 * MM), words, whole="number")
    on.showPage()
    on.save()
    return buffer.getvalue()


@pytest.mark.parametrize("words", ["H03", "B1", "J-Q7", "2025"])
def test_a_tall_number_fills_its_box_and_hangs_no_lower_than_said(words: str) -> None:
    (_, spot), *_ = text_spots(_tall(words))
    assert spot.top - 40 >= 12 * MM
    assert spot.top <= 40 + 12.2 * MM * 1.03
    assert spot.bottom >= 40 - 12.2 * MM * kit.HANG


def test_a_tall_number_is_shrunk_to_its_width_and_a_ring_above_a_letter_stays_in_the_box() -> None:
    (_, wide), *_ = text_spots(_tall("2025-ROUTAMO-H03-001", 60))
    assert wide.right <= 20 + 60 * MM
    (_, ring), *_ = text_spots(_tall("ÅÖ1"))
    assert ring.top <= 40 + 12.2 * MM + 0.5


def test_a_number_too_wide_even_when_small_is_refused() -> None:
    with pytest.raises(TextTooLong, match="number"):
        _tall("X" * 80, 20)


def test_columns_fill_the_width_by_their_shares() -> None:
    one, two = Box(10, 0, 104, 5).columns((1, 3), 4)
    assert (one.x, one.width, two.x, two.right) == (10, 25, 39, 114)


def test_a_sheet_is_turned_where_that_takes_more_cards() -> None:
    assert kit.A4.for_most(Paper(74, 105)) == kit.A4.turned()
    assert kit.A4.for_most(Paper(52, 74)) == kit.A4


def test_a_deck_of_nothing_is_refused() -> None:
    with pytest.raises(Refused, match="0 copies"):
        kit.cards([], kit.TICKET, sheet=None, title="t", author="a")
