from __future__ import annotations

import pytest

from tests.workshop.documents import reading
from tests.workshop.documents.examples import UNBROKEN
from tests.workshop.documents.shed_examples import shelf_label
from workshop.documents.kit import page as kit
from workshop.documents.kit.text import TextTooLong
from workshop.documents.labels import shelf_label as shelf
from workshop.documents.labels.shelf_label import Kept


def test_a_shelf_label_says_place_what_is_kept_the_least_and_the_hazard() -> None:
    said = reading.words(shelf.render(shelf_label()))
    for text in ("A2", "Potash alum", "Reorder at 2 kg", "Hydrated lime", "Reorder at 5 kg", "DANGER", "Neatsfoot oil"):
        assert text in said
    assert said.count("Reorder at") == 2


def test_the_place_is_twelve_millimetres_tall() -> None:
    spot = next(spot for text, spot in reading.text_spots(shelf.render(shelf_label())) if text.strip() == "A2")
    assert spot.top - spot.bottom >= 12 * reading.MM


def test_a_shelf_label_is_printable() -> None:
    paper = shelf.render(shelf_label())
    reading.assert_printable(paper, margin_mm=4)
    assert reading.size_mm(paper) == (105, 74)


def test_the_longest_names_stay_in_their_boxes() -> None:
    kept = tuple(Kept(UNBROKEN + " ÅÄÖ", "1,234.567 kg", "Warning") for _ in range(6))
    paper = shelf.render(shelf_label(place="Vajan takaseinän ylin hylly, pölyltä suojattu kaappi 12"[:60], kept=kept))
    reading.assert_printable(paper, margin_mm=4)
    assert reading.words(paper).count("WARNING") == 6


@pytest.mark.thorough
def test_more_than_the_label_holds_is_refused_not_cut() -> None:
    with pytest.raises(TextTooLong, match="list of what is kept"):
        shelf.render(shelf_label(kept=tuple(Kept(UNBROKEN, "1 kg") for _ in range(60))))


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize(("many", "size"), [(3, (105, 74)), (14, (105, 148)), (24, (148, 210))])
def test_where_much_is_kept_the_label_grows(many: int, size: tuple[int, int]) -> None:
    names = [f"Substance number {index}" for index in range(many)]
    paper = shelf.render(shelf_label(kept=tuple(Kept(name, "1.36 kg", "Danger") for name in names)))
    assert tuple(round(side) for side in reading.size_mm(paper)) == size
    reading.assert_printable(paper, margin_mm=4)
    assert reading.words(paper).count("DANGER") == many


def test_an_empty_place_says_so() -> None:
    assert "Nothing is listed here" in reading.words(shelf.render(shelf_label(kept=())))


def test_eight_labels_fit_an_a4_sheet_and_repeat_byte_for_byte() -> None:
    sheet = shelf.render(shelf_label(), copies=8, sheet=kit.A4)
    assert len(reading.pages(sheet)) == 1
    assert sheet == shelf.render(shelf_label(), copies=8, sheet=kit.A4)
