"""What a paper still needs before it may be issued."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from costing.sell.sales.invoices import rules as documents
from costing.sell.sales.invoices.rules import (
    DUTIES,
    NO_TAX_WORDS,
    Kind,
    Law,
    Paper,
    Party,
    may_be_simplified,
    missing,
    refuse_incomplete,
)
from costing.sell.sales.tax.rules import Mode, PaperLine, summary
from inventory.errors import Refused
from tests.costing.sell.sales.tax.credited import mirrored_lines

D = Decimal
FULL, FREE = Mode.REGISTERED, Mode.NOT_REGISTERED
SELLER = Party("K. Routamo, Routamo Skins", "Utuharju 4", "FI12345671")
BUYER = Party("Mrs Tuohiköngäs", "Utuharju 9", "")
TAXED = (PaperLine("rug", D(1), D("185.00"), D("25.5")),)
PLAIN = (PaperLine("rug", D(1), D("185.00")),)


def invoice(mode: Mode, **changes: object) -> Paper:
    lines = TAXED if mode is FULL else PLAIN
    paper = Paper(
        Kind.INVOICE,
        number="INV-002",
        issued_on=date(2025, 6, 14),
        supplied_on=date(2025, 6, 14),
        seller=SELLER,
        buyer=BUYER,
        lines=lines,
        summary=summary(lines, mode),
        note="" if mode is FULL else NO_TAX_WORDS,
    )
    return replace(paper, **changes)  # type: ignore[arg-type]


def credit(mode: Mode, **changes: object) -> Paper:
    lines = tuple(mirrored_lines(TAXED if mode is FULL else PLAIN))
    paper = invoice(
        mode,
        kind=Kind.CREDIT,
        number="CN-001",
        lines=lines,
        summary=summary(lines, mode),
        corrects="INV-002",
        corrects_on=date(2025, 6, 14),
        reason="sent back",
    )
    return replace(paper, **changes)  # type: ignore[arg-type]


def named(paper: Paper, mode: Mode, law: Law = Law.EU) -> list[str]:
    return [field.field for field in missing(paper, mode, law)]


@pytest.mark.parametrize("law", Law)
@pytest.mark.parametrize("mode", Mode)
def test_a_complete_paper_misses_nothing(mode: Mode, law: Law) -> None:
    simplified = invoice(mode, kind=Kind.SIMPLIFIED, buyer=Party())
    for paper in (invoice(mode), credit(mode), simplified):
        assert missing(paper, mode, law) == []
        refuse_incomplete(paper, mode, law)


@pytest.mark.parametrize("law", Law)
@pytest.mark.parametrize("mode", Mode)
@pytest.mark.parametrize("kind", Kind)
def test_an_empty_paper_misses_exactly_what_is_asked_of_its_kind(kind: Kind, mode: Mode, law: Law) -> None:
    asked = {duty.field for duty in DUTIES if duty.source(kind, mode, law)}
    conditional = {"buyer.tax_number", "relief", "reverse_charge"}
    assert set(named(Paper(kind), mode, law)) == asked - conditional


@pytest.mark.parametrize(
    ("changes", "field", "source"),
    [
        ({"number": " "}, "number", "art. 226(2)"),
        ({"issued_on": None}, "issued_on", "art. 226(1)"),
        ({"seller": Party("K. Routamo", "Utuharju 4")}, "seller.tax_number", "art. 226(3)"),
        ({"seller": Party("", "Utuharju 4", "FI12345671")}, "seller.name", "art. 226(5)"),
        ({"seller": Party("K. Routamo", "", "FI12345671")}, "seller.address", "art. 226(5)"),
        ({"buyer": Party("", "Utuharju 9")}, "buyer.name", "art. 226(5)"),
        ({"buyer": Party("Mrs Tuohiköngäs")}, "buyer.address", "art. 226(5)"),
        ({"lines": ()}, "lines", "art. 226(6)"),
        ({"lines": (PaperLine(" ", D(1), D(5), D("25.5")),)}, "lines", "art. 226(6)"),
        ({"summary": None}, "rates", "art. 226(8) to (10)"),
        ({"lines": (PaperLine("rug", D(1), D(5), D(0)),)}, "relief", "art. 226(11)"),
    ],
)
def test_each_field_of_a_taxed_invoice_is_missed_by_name_and_rule(
    changes: dict[str, object], field: str, source: str
) -> None:
    [found] = missing(invoice(FULL, **changes), FULL)
    assert (found.field, found.eu) == (field, f"Directive 2006/112/EC {source}")


def test_the_day_of_supply_is_asked_for_in_the_united_kingdom_only() -> None:
    """Art. 226(7) wants it where it differs from the day of issue; empty means that it does not."""
    paper = invoice(FULL, supplied_on=None)
    assert named(paper, FULL, Law.EU) == []
    assert named(paper, FULL, Law.UK) == ["supplied_on"]


def test_a_buyer_who_owes_the_tax_is_named_by_number_and_words() -> None:
    paper = invoice(FULL, reverse_charge=True, lines=(PaperLine("rug", D(1), D(5), D(0)),))
    assert named(paper, FULL) == ["buyer.tax_number", "reverse_charge"]
    assert named(paper, FULL, Law.UK) == ["reverse_charge"]
    whole = replace(paper, buyer=replace(BUYER, tax_number="SE556677889901"), note="Reverse charge, art. 196")
    assert named(whole, FULL) == []


def test_without_registration_no_tax_number_is_needed_but_the_words_are() -> None:
    paper = invoice(FREE, seller=replace(SELLER, tax_number=""), buyer=Party("Mrs Tuohiköngäs"))
    assert named(paper, FREE) == []
    assert named(replace(paper, note=""), FREE) == ["note"]


@pytest.mark.parametrize("mode", Mode)
def test_a_credit_note_names_the_invoice_it_changes_and_why(mode: Mode) -> None:
    paper = credit(mode, corrects="", corrects_on=None, reason="")
    assert named(paper, mode) == ["corrects", "reason"]
    uk = ["corrects", "corrects_on", "reason"] if mode is FULL else ["corrects", "reason"]
    assert named(paper, mode, Law.UK) == uk


def test_a_credit_note_has_a_regulation_of_its_own_in_the_united_kingdom() -> None:
    paper = credit(FULL, buyer=Party(), supplied_on=None, reason="", corrects_on=None)
    sources = {duty.field: duty.source(Kind.CREDIT, FULL, Law.UK) for duty in missing(paper, FULL, Law.UK)}
    own = "UK VAT Regulations 1995 reg. 15C"
    assert sources == {"buyer.name": own, "buyer.address": own, "corrects_on": own, "reason": documents.PRACTICE}


def test_a_simplified_invoice_needs_no_buyer() -> None:
    paper = invoice(FULL, kind=Kind.SIMPLIFIED, buyer=Party(), supplied_on=None, seller=Party("K. Routamo"))
    assert named(paper, FULL) == ["seller.tax_number"]
    assert named(paper, FULL, Law.UK) == ["supplied_on", "seller.address", "seller.tax_number"]


def test_totals_of_another_tax_mode_are_a_fault_of_the_program() -> None:
    with pytest.raises(ValueError, match="INV-002"):
        missing(invoice(FREE), FULL)


def test_the_refusal_names_every_missing_field() -> None:
    with pytest.raises(
        Refused, match=r"invoice cannot be issued yet.*needs: your tax number, the buyer's name\."
    ) as caught:
        refuse_incomplete(invoice(FULL, seller=Party("K", "U"), buyer=Party("", "U")), FULL)
    assert caught.value.field == "seller.tax_number"


def test_a_long_list_of_missing_fields_is_cut_short_in_words_only() -> None:
    more = len(missing(Paper(Kind.INVOICE), FULL, Law.UK)) - 5
    with pytest.raises(Refused, match=rf"its number, .* and {more} more\."):
        refuse_incomplete(Paper(Kind.INVOICE), FULL, Law.UK)


def test_a_short_form_is_allowed_up_to_the_makers_limit() -> None:
    assert may_be_simplified(D("250.00"), D(250))
    assert not may_be_simplified(D("250.01"), D(250))
    assert not may_be_simplified(D("1.00"), None)


def test_a_correction_may_be_short_whatever_it_comes_to() -> None:
    assert may_be_simplified(D("-900.00"), D(100), correction=True)
    assert not may_be_simplified(D("-900.00"), D(100))
    assert not may_be_simplified(D("-900.00"), None, correction=True)
