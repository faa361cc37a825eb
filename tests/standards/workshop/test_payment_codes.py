"""Accounts, references and payment codes against what others publish; each row names its source (payment_codes.csv).

A row marked `recalled` was seen nowhere and is asserted nowhere. EPC069-12 itself was not read: its examples come through segno's
tests and documentation.
"""

import csv
import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from stdnum import iso11649
from stdnum.be import ogm_vcs
from stdnum.ch import esr

from costing.sell.payments.transfers import rules
from costing.sell.payments.transfers.rules import Transfer
from inventory.base.identifiers.rules import iban
from inventory.errors import Refused

Row = dict[str, str]
ROWS: list[Row] = [
    row
    for row in csv.DictReader(Path(__file__).with_name("payment_codes.csv").read_text("utf-8").splitlines())
    if row["status"] == "read"
]


def of(*kinds: str, valid: str = "") -> list[Row]:
    return [row for row in ROWS if row["kind"] in kinds and row["valid"] in ((valid,) if valid else ("yes", "no"))]


def code(row: Row) -> str:
    return row["code_as_given"]


def bare(text: str) -> str:
    return re.sub(r"[\s+/]", "", text)


def refuses(judge: Callable[[str], object], text: str) -> bool:
    try:
        return not judge(text)
    except Refused:
        return True


def finnish(text: str) -> bool:
    return 4 <= len(text) <= 20 and text.isdigit() and rules.finnish(text[:-1]) == text


@pytest.mark.parametrize("row", of("iban"), ids=code)
def test_an_iban_is_taken_or_refused_as_the_libraries_have_it(row: Row) -> None:
    given = code(row)
    if row["valid"] == "yes":
        assert iban(given) == row["expected_or_format"]
    else:
        assert refuses(iban, given)


@pytest.mark.parametrize("row", of("iso11649", valid="yes"), ids=code)
def test_an_rf_reference_is_made_with_the_published_check_digits(row: Row) -> None:
    number = bare(code(row))
    assert rules.creditor_reference(number[4:]) == number
    if row["expected_or_format"]:
        assert number == row["expected_or_format"]


@pytest.mark.parametrize("row", of("iso11649", valid="no"), ids=code)
def test_a_wrong_rf_reference_is_never_made(row: Row) -> None:
    assert rules.creditor_reference(bare(code(row))[4:]) != bare(code(row))


@pytest.mark.parametrize("row", of("fi.reference"), ids=code)
def test_a_finnish_reference_has_the_published_check_digit_and_grouping(row: Row) -> None:
    given, _, made = code(row).partition(" -> ")
    if made:
        assert rules.finnish(given) == bare(made)
        given = bare(made)
    assert finnish(given) == (row["valid"] == "yes")
    if row["expected_or_format"].replace(" ", "").isdigit():
        assert rules.shown("fi", given) == row["expected_or_format"]


@pytest.mark.parametrize("row", of("fi.rf"), ids=code)
def test_the_rf_form_of_a_finnish_reference_is_the_published_one(row: Row) -> None:
    number = code(row)
    assert iso11649.is_valid(number)
    inner = number[4:].lstrip("0")
    assert finnish(inner) == (row["valid"] == "yes")
    assert rules.asked("fi", inner, "") == {"reference": number}


@pytest.mark.parametrize("row", of("be.ogm", "ch.qrr"), ids=code)
def test_belgian_and_swiss_references_are_made_as_the_library_checks_them(row: Row) -> None:
    number = bare(code(row)).zfill({"be": 12, "ch": 27}[row["kind"][:2]])
    checks = {"be": (10, ogm_vcs.calc_check_digits), "ch": (26, esr.calc_check_digit)}
    figures, check = checks[row["kind"][:2]]
    assert (number[figures:] == check(number[:figures])) == (row["valid"] == "yes")
    if row["valid"] == "yes":
        kind = row["kind"][:2]
        assert rules.reference(kind, number[:figures]) == number
        assert bare(rules.shown(kind, number)) == number
    if row["expected_or_format"].startswith("00 "):
        assert rules.shown("ch", number) == row["expected_or_format"]


@pytest.mark.parametrize("row", of("epc.example1", "epc.example3", "epc.example4"), ids=code)
def test_the_fields_of_a_payment_code_are_those_of_the_published_examples(row: Row) -> None:
    there = code(row).split("|")
    there += [""] * (12 - len(there))
    amount = Decimal(there[7].removeprefix("EUR"))
    made = Transfer(there[5], iban(there[6]), amount, bic=there[4], reference=there[9], text=there[10])
    here = rules.payload(made).split("\n")
    here += [""] * (12 - len(here))
    assert (here[0], here[3]) == ("BCD", "SCT")
    assert (here[4], here[5], here[6], here[9], here[10]) == (there[4], there[5], there[6], there[9], there[10])
    assert Decimal(here[7].removeprefix("EUR")) == amount
    # Ours is version 002 in UTF-8 (character set 1), and has neither a purpose nor a note.
    assert (here[1], here[2], here[8], here[11]) == ("002", "1", "", "")


@pytest.mark.parametrize("amount", ["0", "0.004", "999999999.999"])
def test_an_amount_outside_the_limits_has_no_code(amount: str) -> None:
    assert {row["code_as_given"] for row in ROWS if row["kind"] == "epc.bad"} >= {"amount 0, 0.004, 999999999.999"}
    with pytest.raises(Refused, match=r"takes 0\.01 to 999999999\.99"):
        rules.payload(Transfer("K. Routamo", "FI2112345600000785", Decimal(amount), text="INV-1"))


@pytest.mark.parametrize("wrong", [{"name": "n" * 71}, {"name": ""}, {"text": "t" * 141}])
def test_a_name_or_a_text_that_is_too_long_has_no_code(wrong: Row) -> None:
    given = {"name": "K. Routamo", "text": "INV-1", **wrong}
    with pytest.raises(Refused):
        rules.payload(Transfer(iban="FI2112345600000785", amount=Decimal(1), **given))


def test_each_row_that_was_read_is_asked_for_here() -> None:
    asked = {"iban", "iso11649", "fi.reference", "fi.rf", "be.ogm", "ch.qrr"}
    asked |= {"epc.example1", "epc.example3", "epc.example4", "epc.bad"}
    # Layout in words (the tests above and the code read back from paper hold it), a bar code and an Estonian number that we print
    # none of.
    words = {"epc.field", "epc.symbol", "fi.barcode", "fi.barcode5", "ee.reference"}
    assert {row["kind"] for row in ROWS} == asked | words
