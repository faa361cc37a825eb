"""The papers around a sale: receipt for money, packing slip, fair, gallery, job card, stock sheet, count sheet."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from tests.workshop.documents import reading, selling_examples as examples
from workshop.documents.kit.page import A4, LETTER, Paper
from workshop.documents.sales import fair_day, gallery, invoice, packing_slip, receipt
from workshop.documents.sales.fair_day import backwards
from workshop.documents.shed import job_card, stocktake_sheet
from workshop.documents.words.rules import Words

pytestmark = pytest.mark.thorough
D = Decimal

PAPERS = {
    "receipt": examples.receipt,
    "packing_slip": examples.packing_slip,
    "fair_day": examples.fair_day,
    "gallery": examples.statement,
    "job_card": examples.job_card,
    "stocktake_sheet": examples.stocktake_sheet,
}

RENDER: dict[str, Any] = {
    "invoice": invoice.render,
    "receipt": receipt.render,
    "packing_slip": packing_slip.render,
    "fair_day": fair_day.render,
    "gallery": gallery.render,
    "job_card": job_card.render,
    "stocktake_sheet": stocktake_sheet.render,
}


def rendered(name: str, paper: Any, size: Paper = A4) -> bytes:
    made: bytes = RENDER[name](paper, size)
    return made


@pytest.mark.parametrize("name", PAPERS)
def test_a_paper_is_printable_and_the_same_twice(name: str) -> None:
    paper = rendered(name, PAPERS[name]())
    reading.assert_printable(paper, margin_mm=10)
    assert reading.size_mm(paper) == (210, 297)
    assert paper == rendered(name, PAPERS[name]())


@pytest.mark.slow
@pytest.mark.parametrize("name", [*PAPERS, "invoice"])
def test_the_same_paper_fits_on_letter(name: str) -> None:
    long = {**examples.long_papers(), "invoice": examples.long_invoice()}
    paper = rendered(name, long[name], LETTER)
    reading.assert_printable(paper, margin_mm=10)
    assert reading.size_mm(paper) == (215.9, 279.4)
    pages = reading.pages(paper)
    assert all(f"page {index} of {len(pages)}" in page for index, page in enumerate(pages, start=1))


@pytest.mark.slow
@pytest.mark.parametrize("name", PAPERS)
def test_sixty_lines_of_long_words_stay_in_their_boxes_and_the_pages_are_counted(name: str) -> None:
    paper = rendered(name, examples.long_papers()[name])
    reading.assert_printable(paper, margin_mm=10)
    pages = reading.pages(paper)
    assert all(f"page {index} of {len(pages)}" in page for index, page in enumerate(pages, start=1))
    if name not in ("receipt", "job_card"):
        assert len(pages) > 1


def test_a_receipt_says_how_much_for_what_how_paid_and_what_is_due() -> None:
    said = reading.words(receipt.render(examples.receipt()))
    for words in (
        "Receipt",
        "R-001",
        "2 Mar 2025",
        "Cash",
        "Mrs Tuohiköngäs",
        "Deposit on J-01",
        "Received, EUR 66.00",
    ):
        assert words in said
    assert "Balance due after this payment, EUR 99.00" in said
    assert "A deposit stays yours" in said


def test_money_paid_back_is_said_so_without_a_minus() -> None:
    said = reading.words(receipt.render(examples.receipt(amount=D("-39.90"), balance=D("0.00"))))
    assert "Refund receipt" in said
    assert "Refunded, EUR 39.90" in said
    assert "A deposit stays yours" not in said


def test_what_was_paid_too_much_is_named() -> None:
    assert "Overpaid, EUR 4.00" in reading.words(receipt.render(examples.receipt(balance=D("-4.00"))))


def test_a_packing_slip_names_things_and_care_cards_and_no_price() -> None:
    paper = packing_slip.render(examples.packing_slip())
    said = reading.words(paper)
    for words in (
        "H02",
        "rug, sheep",
        "Alum-tawed, enclosed",
        "Comb",
        "Returns: please contact us first: post@routamo-skins.example.org",
        "Return address: K. Routamo, Routamo Skins, Tawyard Lane 4",
    ):
        assert words in said
    assert "EUR" not in said
    assert "Tick each thing" not in said


def test_a_packing_slip_has_no_column_that_nothing_stands_in() -> None:
    slip = examples.packing_slip()
    said = reading.words(packing_slip.render(replace(slip, items=slip.items[1:])))
    assert "In the box Description Quantity Comb 2" in said


@pytest.mark.parametrize("pieces", [8, 10, 12, 14])
def test_the_lines_for_what_else_was_sold_stay_together(pieces: int) -> None:
    fair = examples.fair_day(pieces=examples.fair_day().pieces[:1] * pieces)
    assert reading.words(fair_day.render(fair)).count("What else was sold") == 1


def test_what_the_maker_says_of_returns_and_warranty_stands_on_the_packing_slip_and_nothing_is_built_in() -> None:
    own = Words(own={"terms.returns": "Within 14 days.", "terms.warranty": "I mend it."})
    said = reading.words(packing_slip.render(examples.packing_slip(words=own)))
    assert "99999 Utuharju Within 14 days. I mend it. Packed by" in said
    assert "99999 Utuharju Packed by" in reading.words(packing_slip.render(examples.packing_slip()))


def test_a_care_card_is_ticked_only_for_what_has_one() -> None:
    first, other = examples.packing_slip().items
    with_card, without = (
        packing_slip.render(
            examples.packing_slip(items=(replace(first, care=care), replace(other, care="Bark-tanned")))
        )
        for care in ("Alum-tawed", "")
    )
    assert len(reading.path_spots(with_card)) == len(reading.path_spots(without)) + 2


@pytest.mark.parametrize(
    ("least", "code"), [("92.31", "39"), ("92.00", "29"), ("120", "021"), ("0", "0"), ("9.01", "01")]
)
def test_the_least_price_is_rounded_up_and_written_backwards(least: str, code: str) -> None:
    assert backwards(D(least)) == code
    assert int(code[::-1]) >= D(least)


def test_a_pack_list_names_list_price_code_and_what_was_sold() -> None:
    said = reading.words(fair_day.render(examples.fair_day()))
    assert "H09 fur, rabbit 32.00 03 32.00 cash" in said
    assert "H12 fur, rabbit 34.00 92" in said
    assert "29.10" not in said
    assert "Total of list prices 66.00 €" in said
    for words in ("Float in the box, morning", "Float in the box, evening", "Pitch", "Fuel"):
        assert words in said


def test_a_pack_list_without_pieces_says_so() -> None:
    assert "Nothing is packed yet." in reading.words(fair_day.render(examples.fair_day(pieces=())))


def test_a_gallery_list_shows_price_fee_and_what_is_payable_and_a_place_to_sign() -> None:
    said = reading.words(gallery.render(examples.gallery_paper()))
    assert "H03 rug, sheep 5 Aug 2025 185.00 64.75 120.25" in said
    for words in ("Sale-or-return list", "Selling fee 35 %", "For the gallery"):
        assert words in said
    assert "insure" not in said
    assert "Balance due" not in said


def test_the_makers_own_terms_stand_on_a_gallery_list() -> None:
    words = Words(own={"terms.gallery": "The pieces stay mine.\nYou insure them."})
    said = reading.words(gallery.render(examples.gallery_paper(words=words)))
    assert "The pieces stay mine. You insure them. Paid by which day" in said


def test_a_piece_without_a_price_is_named_as_such() -> None:
    held = (replace(examples.gallery_paper().held[0], price=None, fee=None, payable=None),)
    assert "no price set" in reading.words(gallery.render(examples.gallery_paper(held=held)))


def test_a_statement_shows_what_was_sold_and_what_is_due() -> None:
    said = reading.words(gallery.render(examples.statement()))
    assert "Statement, September 2025" in said
    assert "20 Sep 2025 INV-003 H07 leather, goat 140.00 49.00 91.00" in said
    assert "Balance due, EUR 91.00" in said


def test_a_month_without_a_sale_says_so() -> None:
    said = reading.words(gallery.render(examples.statement(sold=(), held=(), due=D(0))))
    assert "Nothing was sold or came back" in said
    assert "No piece is in stock." in said


def test_a_job_card_carries_condition_terms_money_and_places_to_sign() -> None:
    said = reading.words(job_card.render(examples.job_card()))
    for words in (
        *(
            "J-01",
            "Condition on receipt",
            "Work agreed",
            "H06 reindeer, bull",
            "2 Mar 2025",
            "1 Jun 2025",
            "one old scar at the left flank",
            "2 photos of it kept",
        ),
        *("Price, EUR 165.00", "Deposit before the work, EUR 66.00"),
        *("Paid so far, EUR −66.00", "Balance due on handover, EUR 99.00"),
        "The customer",
    ):
        assert words in said
    for words in ("Our terms", "promise the work", "Storage", "Gloves", "Hazards"):
        assert words not in said


def test_the_makers_own_terms_stand_on_a_job_card_and_the_law_before_them() -> None:
    words = Words(own={"terms.job": "I promise the work, not the skin."})
    said = reading.words(job_card.render(examples.job_card(words=words)))
    assert "Our terms I promise the work, not the skin. Where your law gives you more than these words" in said


@pytest.mark.parametrize(("photos", "words"), [(0, "flank Work"), (1, "1 photo of it kept."), (3, "3 photos of it")])
def test_a_job_card_says_how_many_photos_are_kept(photos: int, words: str) -> None:
    assert words in reading.words(job_card.render(examples.job_card(photos=photos)))


def test_a_skin_that_nobody_described_leaves_room_to_write() -> None:
    bare, told = (job_card.render(examples.job_card(condition=words)) for words in ("", "salted"))
    assert "Nothing was written down." in reading.words(bare)
    assert len(reading.path_spots(bare)) == len(reading.path_spots(told)) + 2


@pytest.mark.parametrize(
    ("free", "charge", "words"),
    [
        (30, "0", ""),
        (30, "1.50", "Storage free until 30 days after you are told that it is ready, then 1.50 € a day"),
        (0, "2", "Storage 2.00 € a day from the day you are told that it is ready"),
    ],
)
def test_storage_is_said_in_the_terms_of_the_workshop(free: int, charge: str, words: str) -> None:
    card = examples.job_card(storage_free_days=free, storage_per_day=D(charge))
    said = reading.words(job_card.render(card))
    assert words in said
    assert ("Storage" in said) == bool(words)


def test_a_stocktake_sheet_shows_what_and_where_and_no_quantity() -> None:
    said = reading.words(stocktake_sheet.render(examples.stocktake_sheet()))
    for words in ("Counted by", "Date", "Chemical shelf", "ALUMK Potash alum kg", "H13 Skin, goat", "No location"):
        assert words in said
    assert not {word for word in said.split() if "." in word and word[0].isdigit()}


def test_a_stocktake_sheet_of_an_empty_workshop_says_so() -> None:
    assert "Nothing is on the list yet." in reading.words(stocktake_sheet.render(examples.stocktake_sheet(places=())))
