from __future__ import annotations

from io import BytesIO

import pytest

from tests.workshop.papers.reading import barcodes
from workshop.papers import kit
from workshop.papers.errors import NotBarcodable, WrongCopies
from workshop.papers.kit import Box, Paper


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
    with pytest.raises(NotBarcodable, match="“Ä1” cannot be printed as a barcode") as refused:
        _printed("Ä1", 200)
    assert refused.value.number == "Ä1"


def test_a_barcode_finer_than_a_plain_printer_can_print_is_refused() -> None:
    with pytest.raises(NotBarcodable, match=r"bars of 0\.0"):
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
    with pytest.raises(WrongCopies, match=f"{copies} copies were asked for") as refused:
        kit.cards(lambda on, box: None, kit.TICKET, copies=copies, sheet=None, title="t", author="a")
    assert refused.value.copies == copies
