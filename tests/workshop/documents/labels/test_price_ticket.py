from __future__ import annotations

import pytest

from tests.workshop.documents import reading
from tests.workshop.documents.examples import (
    LONG_BRAND,
    LONG_MAKER,
    LONG_NUMBER,
    LONG_PIECE,
    LONG_TITLE,
    MAKER,
    long_price_ticket,
    price_ticket,
)
from workshop.documents.kit import page as kit
from workshop.documents.kit.text import TextTooLong
from workshop.documents.labels import price_ticket as ticket


def test_a_ticket_says_what_it_is_what_it_costs_and_who_made_it() -> None:
    said = reading.words(ticket.render(price_ticket()))
    for text in ("H03", "Sheepskin rug", "Sheep · Alum-tawed", "about 101 dm² (10.9 sq ft)", "185.00 EUR"):
        assert text in said
    for text in (MAKER["brand"], MAKER["postal"], MAKER["electronic"]):
        assert text in said


def test_a_ticket_is_printable_and_its_code_reads_back() -> None:
    paper = ticket.render(price_ticket())
    reading.assert_printable(paper, margin_mm=2.5)
    assert reading.size_mm(paper) == (85, 55)
    assert reading.barcodes(paper) == ["H03"]


def test_a_ticket_with_the_longest_names_stays_in_its_boxes() -> None:
    paper = ticket.render(long_price_ticket())
    reading.assert_printable(paper, margin_mm=2.5)
    said = reading.words(paper).replace(" ", "").replace("-", "")
    for text in (LONG_TITLE, LONG_NUMBER, "12,450,000.00", LONG_BRAND, LONG_MAKER["postal"], LONG_MAKER["electronic"]):
        assert text.replace(" ", "").replace("-", "") in said
    assert reading.barcodes(paper) == [LONG_NUMBER]


def test_the_price_is_the_largest_text() -> None:
    spots = reading.text_spots(ticket.render(price_ticket()))
    tallest = max(spots, key=lambda one: one[1].top - one[1].bottom)[0]
    assert "185.00" in tallest


def test_no_text_or_code_lies_on_the_punch_hole() -> None:
    paper = ticket.render(long_price_ticket())
    middle = kit.TICKET.box.height / 2
    ring = reading.Spot(4 * reading.MM, middle - 2.5 * reading.MM, 9 * reading.MM, middle + 2.5 * reading.MM)
    assert not any(spot.meets(ring) for _, spot in reading.text_spots(paper))
    assert all(spot.right < 10 * reading.MM for spot in reading.path_spots(paper) if spot.meets(ring))


def test_the_currency_is_not_said_twice() -> None:
    assert price_ticket(price_text="185.00 EUR").price == "185.00 EUR"
    assert price_ticket(price_text="185.00", currency="").price == "185.00"


def test_a_price_is_never_cut() -> None:
    with pytest.raises(TextTooLong, match="price"):
        ticket.render(price_ticket(price_text="1" * 60))


def test_a_price_of_nine_figures_with_tax_on_top_stands_beside_the_longest_number_in_two_lines() -> None:
    made = price_ticket(**{**LONG_PIECE, "price_text": "123,456,789.00", "on_top": True})
    paper = ticket.render(made)
    reading.assert_printable(paper, margin_mm=2.5)
    assert made.price in reading.words(paper)
    short = reading.text_spots(ticket.render(price_ticket(price_text="12,450.00")))
    assert "12,450.00 EUR" in [text.strip() for text, _ in short]


def test_copies_are_pages_or_places_on_a_sheet() -> None:
    assert len(reading.pages(ticket.render(price_ticket(), copies=3))) == 3
    sheet = ticket.render(price_ticket(), copies=12, sheet=kit.A4)
    assert [page.count("185.00 EUR") for page in reading.pages(sheet)] == [10, 2]
    assert reading.barcodes(sheet, page=1) == ["H03", "H03"]


def test_the_same_ticket_gives_the_same_bytes() -> None:
    assert ticket.render(price_ticket(), copies=2) == ticket.render(price_ticket(), copies=2)
