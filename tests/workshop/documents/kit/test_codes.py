from __future__ import annotations

from io import BytesIO

import pytest

from tests.workshop.documents.reading import MM, barcodes, code_spots, hard_to_read
from workshop.documents.kit import codes, page
from workshop.documents.kit.page import Box, Paper
from workshop.documents.kit.text import TextTooLong

BOX = Box(30, 30, 200, 60)


def _printed(number: str, box: Box = BOX) -> tuple[bytes, Box]:
    buffer = BytesIO()
    on = page.canvas(buffer, Paper(120, 60), "code", "Routamo Skins")
    left = codes.beside(on, box, number, height=25)
    on.showPage()
    on.save()
    return buffer.getvalue(), left


@pytest.mark.thorough(but=4)
@pytest.mark.parametrize(
    "number", ["H03", "H10-H11", "20250001", "2025-ROUTAMO-H03-001", "a b/9", "Ä1", "Hylly ääressä", "2ÅÄ7cma", "çÖÖåß"]
)
@pytest.mark.parametrize("dots", [150, 203, 300])
def test_a_code_reads_back_as_its_number_from_a_poor_picture(number: str, dots: int) -> None:
    assert hard_to_read(_printed(number)[0], dots) == [number]


@pytest.mark.parametrize("number", ["H03", "2025-ROUTAMO-H03-001", "Ä1"])
def test_a_code_keeps_to_its_box_and_says_what_is_left_of_it(number: str) -> None:
    paper, left = _printed(number)
    (spot,) = code_spots(paper)
    assert spot.left >= BOX.x - 0.1
    assert spot.right <= BOX.right + 0.1
    assert spot.top <= BOX.top + 0.1
    assert spot.bottom >= BOX.y - 0.1
    if left.width < BOX.width:
        assert left.right <= spot.left - codes.GAP + 0.1
    else:
        assert spot.right + 10 * codes.BAR <= BOX.right
        assert left.top <= spot.bottom


def test_bars_and_modules_are_four_dots_of_a_thermal_printer() -> None:
    assert codes.BAR / 72 * 203 == codes.MODULE / 72 * 203 == pytest.approx(4)


@pytest.mark.parametrize("number", ["2025-Routamo-h03-001", "Ä" * 20])
def test_a_square_whose_room_is_exactly_its_own_is_drawn_and_one_with_less_is_refused(number: str) -> None:
    side = codes.side(number)
    paper, _ = _printed(number, Box(30, 30, 100, side * 3 - side * 2 - 1e-9))
    (spot,) = code_spots(paper)
    assert spot.right - spot.left == pytest.approx(side, abs=0.1)
    with pytest.raises(TextTooLong, match="code"):
        _printed(number, Box(30, 30, 100, side * 0.95))


def test_a_code_without_room_is_refused() -> None:
    with pytest.raises(TextTooLong, match="code"):
        _printed("Ä" * 60, Box(30, 30, 20 * MM, 8 * MM))


def test_a_long_number_takes_a_square_where_its_bars_have_no_room() -> None:
    paper, left = _printed("H" * 20)
    assert barcodes(paper) == ["H" * 20]
    assert left.width < BOX.width
