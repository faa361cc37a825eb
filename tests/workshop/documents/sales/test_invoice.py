"""Invoice, credit note and counter receipt: lines, totals, tax by rate, sums carried from page to page."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from inventory.errors import Refused
from tests.workshop.documents import reading, selling_examples as examples
from tests.workshop.documents.selling_examples import invoice, taxed_invoice, untaxed
from workshop.documents.kit import letter as kit_letter
from workshop.documents.kit.text import TextTooLong
from workshop.documents.sales import invoice as sales_invoice
from workshop.documents.sales.invoice import render

D = Decimal


def test_an_invoice_without_tax_shows_lines_total_and_the_words_and_no_tax_column() -> None:
    said = reading.words(render(invoice()))
    assert "1 H02 rug, sheep 1 185.00 185.00" in said
    assert "2 Postage 1 12.90 12.90" in said
    assert "Total, EUR 197.90" in said
    assert examples.NO_TAX in said
    assert "Tax" not in said.replace(examples.NO_TAX, "")
    assert "%" not in said


def test_an_invoice_with_tax_shows_net_prices_discounts_and_each_rate() -> None:
    said = reading.words(render(taxed_invoice()))
    assert "1 H02 rug, sheep 185.00 gross each, less 15.00 off 1 147.4104 25.5 135.46 170.00" in said
    assert "2 Care booklet 5.70 gross each 2 5.00 14 10.00 11.40" in said
    assert "25.5 % 135.46 34.54 170.00" in said
    assert "14 % 10.00 1.40 11.40" in said
    assert "0 %, Export, art. 146 50.00 0.00 50.00" in said
    assert "Net, EUR 195.46" in said
    assert "Tax, EUR 35.94" in said
    assert "Total gross, EUR 231.40" in said


def test_what_was_paid_by_the_day_of_issue_is_taken_off() -> None:
    said = reading.words(render(invoice(settled=(("Deposit", D("66.00")), ("Paid, cash", D("131.90"))), due=D("0.00"))))
    assert "Deposit −66.00" in said
    assert "Balance due, EUR 0.00" in said


def test_what_was_paid_too_much_is_named() -> None:
    said = reading.words(render(invoice(settled=(("Paid, bank", D("200.00")),), due=D("-2.10"))))
    assert "Overpaid, EUR 2.10" in said


def test_a_credit_note_names_its_invoice_reason_and_what_is_left() -> None:
    lines = (untaxed("H12 fur, rabbit", "34.00", "-1"), untaxed("Postage", "5.90", "-1"))
    note = invoice(
        *lines,
        kind="credit",
        number="CN-001",
        corrects="INV-004",
        corrects_on=date(2025, 12, 6),
        reason="sent back",
        balance=D("0.00"),
        due_on=None,
    )
    said = reading.words(render(note))
    for words in ("Credit note", "CN-001", "Corrects INV-004 of 6 Dec 2025", "sent back", "Credited, EUR −39.90"):
        assert words in said
    assert "Total of INV-004 after this credit, EUR 0.00" in said
    assert "Due date" not in said


@pytest.mark.parametrize("field", ["net", "tax", "gross"])
def test_lines_that_do_not_come_to_what_the_paper_says_are_refused(field: str) -> None:
    paper = invoice()
    with pytest.raises(Refused, match="The lines of INV-002 come to") as refused:
        replace(paper, **{field: getattr(paper, field) + D("0.01")})
    added, stated = (D(found) for found in re.findall(r"\d+\.\d\d", str(refused.value)))
    assert stated - added == D("0.01")


@pytest.mark.parametrize("paper", [invoice(), taxed_invoice()], ids=["untaxed", "taxed"])
def test_an_invoice_is_printable_and_the_same_twice(paper: sales_invoice.Invoice) -> None:
    printed = render(paper)
    reading.assert_printable(printed, margin_mm=10)
    assert printed == render(paper)


def test_a_sale_over_the_counter_names_no_buyer() -> None:
    said = reading.words(render(invoice(kind="sale", number="S-001", buyer=kit_letter.Party(), due_on=None)))
    assert "Receipt" in said
    assert "Bill to" not in said


@pytest.mark.thorough
@pytest.mark.slow
def test_sixty_lines_repeat_the_head_carry_their_sums_and_count_the_pages() -> None:
    paper = examples.long_invoice()
    printed = render(paper)
    reading.assert_printable(printed, margin_mm=10)
    pages = reading.pages(printed)
    assert len(pages) > 3
    sums = re.compile(r"(Carried over|Brought forward) (\d{1,3}(?: \d{3})*\.\d\d) (\d{1,3}(?: \d{3})*\.\d\d)")
    carried = [{words: (net, gross) for words, net, gross in sums.findall(page)} for page in pages]
    at = 0
    for index, page in enumerate(pages, start=1):
        assert f"page {index} of {len(pages)}" in page
        lines = [line for line in paper.lines if line.description[:3] in page]
        if not lines:
            continue
        assert "Unit price, net" in page
        assert carried[index - 1].get("Brought forward") == (carried[index - 2].get("Carried over") if at else None)
        at += len(lines)
        if at < len(paper.lines):
            net, gross = carried[index - 1]["Carried over"]
            assert D(net.replace(" ", "")) == sum(line.net for line in paper.lines[:at])
            assert D(gross.replace(" ", "")) == sum(line.gross for line in paper.lines[:at])
    assert at == 60
    assert "Total gross" in next(page for page in pages if paper.lines[-1].description[:3] in page)


def test_a_figure_that_has_no_room_is_refused_and_not_cut() -> None:
    with pytest.raises(TextTooLong, match="figure"):
        render(invoice(untaxed("rug", "9" * 60 + ".00")))


def test_a_currency_without_cents_shows_none() -> None:
    line = replace(untaxed("rug", "18500"), tax=D(0))
    assert "Total, JPY 18 500" in reading.words(render(invoice(line, currency="JPY", digits=0)))


def test_a_buyer_of_300_letters_and_no_address_wraps_inside_the_page() -> None:
    for name in ("B" * 300, "Ella Öhman " * 27):
        printed = render(invoice(buyer=kit_letter.Party(name.strip())))
        reading.assert_printable(printed, margin_mm=10)
        assert name.replace(" ", "")[:300] in reading.words(printed).replace(" ", "").replace("-", "")


@pytest.mark.thorough
@pytest.mark.slow
def test_a_thousand_lines_flow_over_pages_and_carry_their_sums() -> None:
    lines = [untaxed(f"Thong {at}", "1.25") for at in range(1, 1001)]
    pages = reading.pages(render(invoice(*lines)))
    assert len(pages) > 20
    assert "Total, EUR 1 250.00" in pages[-1]
    carried = [re.search(r"Carried over ([\d ]+\.\d\d)", page) for page in pages[:-1]]
    brought = [re.search(r"Brought forward ([\d ]+\.\d\d)", page) for page in pages[1:]]
    assert [found[1] for found in carried if found] == [found[1] for found in brought if found]
    assert all(carried)


def test_a_paper_without_a_line_is_printable_and_comes_to_nothing() -> None:
    empty = replace(invoice(), lines=(), net=D("0.00"), tax=D("0.00"), gross=D("0.00"))
    said = reading.words(render(empty))
    assert "Total, EUR 0.00" in said
    assert "Nothing to pay" in said


def test_a_price_without_tax_in_it_is_not_said_twice() -> None:
    line = replace(taxed_invoice().lines[0], rate=D(0), price=D("10.00"), net_price=D("10.00"))
    line = replace(line, quantity=D(1), discount=D(0), net=D("10.00"), tax=D(0), gross=D("10.00"))
    paper = taxed_invoice(lines=(line,), net=D("10.00"), tax=D(0), gross=D("10.00"), due=D("10.00"), settled=())
    said = reading.words(render(paper))
    assert "10.00" in said
    assert "gross each" not in said
