from __future__ import annotations

from io import BytesIO

import pytest

from tests.workshop.documents.reading import MM, text_spots
from workshop.documents.kit import page as kit
from workshop.documents.kit.page import Box, Paper
from workshop.documents.kit.text import TextTooLong


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
