"""E-invoices of every kind and tax mode pass the official rules of EN 16931, and stop to pass when one amount is a cent off.

Sources: `official.py` names the rules and schemas. Totals of the official examples: ConnectingEurope/eInvoicing-EN16931,
ubl/examples, revision b6c9e06 (EUPL-1.2), figures only, in en16931_examples.csv. That line net = quantity × price - allowance:
EN 16931-1, from memory; the official rules do not work it out, so this is our own and stricter.
"""

import csv
import re
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from lxml import etree

from costing.models import Sale
from costing.sell.rounding.rules import Rounding
from inventory.money import half_up
from tests.standards.workshop import einvoices, official
from tests.standards.workshop.einvoices import CASES
from workshop.documents.einvoice import cii, rules, selectors, ubl
from workshop.documents.einvoice.rules import EInvoice

pytestmark = pytest.mark.django_db
D = Decimal
WRITE = {"ubl": ubl.write, "cii": cii.write}
EXAMPLES = Path(__file__).with_name("en16931_examples.csv")


def made(name: str) -> tuple[Sale, EInvoice]:
    case = CASES[name]
    sale = case.make()
    return sale, selectors.einvoice(sale, untaxed=case.untaxed)


@pytest.mark.thorough(but=4)
@pytest.mark.parametrize("name", CASES)
def test_every_kind_of_paper_passes_the_official_rules_in_both_forms(name: str) -> None:
    sale, found = made(name)
    for syntax, write in WRITE.items():
        assert official.faults(write(found), syntax) == [], syntax
    sign = -1 if sale.credits else 1
    sale.refresh_from_db()
    assert (found.totals.net, found.totals.tax, found.totals.gross) == (
        sign * sale.net,
        sign * sale.tax,
        sign * sale.gross,
    )


@pytest.mark.thorough(but=4)
@pytest.mark.parametrize("name", CASES)
def test_each_line_is_quantity_by_price_less_its_allowance_to_the_cent(name: str) -> None:
    sale, found = made(name)
    sign = -1 if sale.credits else 1
    for row, line in zip(sale.lines.order_by("position"), found.lines, strict=True):
        assert half_up(line.quantity * line.price, 2) - line.allowance == line.net == sign * row.net
        assert line.allowance >= 0
        assert bool(line.allowance) <= bool(row.discount)


@pytest.mark.thorough(but=4)
@pytest.mark.parametrize("name", [name for name, case in CASES.items() if "line by line" not in name])
def test_tax_is_the_base_by_its_rate_within_a_coin_that_rounding_by_rates_moves(name: str) -> None:
    if name in ("the rest credited", "money off, twice"):
        return  # their sums are what earlier credits left over
    _, found = made(name)
    for group in found.groups:
        assert abs(half_up(group.base * (group.rate or 0) / 100, 2) - group.tax) <= found.coin


# Every total of both forms, and the amount of each line: where it stands. A taxable amount (BT-116) is not among them: the
# official rules let it differ from its lines by less than one unit of the currency (probed). Our own find it, below.
TOTALS = {
    "ubl": (
        "//cac:LegalMonetaryTotal/*",
        "//cac:TaxTotal/cbc:TaxAmount",
        "//cac:TaxSubtotal/cbc:TaxAmount",
        "//cac:InvoiceLine/cbc:LineExtensionAmount",
    ),
    "cii": (
        "//ram:SpecifiedTradeSettlementHeaderMonetarySummation/*",
        "//ram:ApplicableHeaderTradeSettlement/ram:ApplicableTradeTax/ram:CalculatedAmount",
        "//ram:SpecifiedTradeSettlementLineMonetarySummation/ram:LineTotalAmount",
    ),
}


def altered(xml: bytes, syntax: str) -> Iterator[tuple[str, bytes]]:
    """The file with one amount a cent higher, each in turn."""
    spaces = cii.SPACES if syntax == "cii" else ubl.SPACES
    root = etree.fromstring(xml)
    for path in TOTALS[syntax]:
        for node in root.xpath(path, namespaces=spaces):
            was = node.text
            node.text = str(D(was) + D("0.01"))
            yield f"{etree.QName(node).localname} {was}", etree.tostring(root, xml_declaration=True, encoding="UTF-8")
            node.text = was


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("syntax", WRITE)
@pytest.mark.parametrize("name", ["partly paid", "prices without tax", "not registered", "a tip"])
def test_a_total_that_is_a_cent_off_fails_the_official_rules(name: str, syntax: str) -> None:
    _, found = made(name)
    tried = list(altered(WRITE[syntax](found), syntax))
    assert len(tried) >= 7
    assert [what for what, xml in tried if not official.by_rules(xml, syntax)] == []


CENT = D("0.01")


def off_by_a_cent(found: EInvoice) -> Iterator[tuple[str, EInvoice]]:
    for name, amount in vars(found.totals).items():
        yield name, replace(found, totals=replace(found.totals, **{name: amount + CENT}))
    for at, group in enumerate(found.groups):
        for name in ("base", "tax"):
            wrong = replace(group, **{name: getattr(group, name) + CENT})
            yield f"{name} {at}", replace(found, groups=(*found.groups[:at], wrong, *found.groups[at + 1 :]))
    for at, line in enumerate(found.lines):
        for name in ("net", "price", "allowance"):
            more = D(1) if name == "price" else CENT
            wrong_line = replace(line, **{name: getattr(line, name) + more})
            yield f"{name} {at}", replace(found, lines=(*found.lines[:at], wrong_line, *found.lines[at + 1 :]))


@pytest.mark.parametrize("name", ["partly paid", "credited by line", "not registered"])
def test_our_own_rules_find_an_amount_that_is_a_cent_off_also_on_a_line(name: str) -> None:
    _, found = made(name)
    assert list(rules.faults(found)) == []
    assert [what for what, wrong in off_by_a_cent(found) if not list(rules.faults(wrong))] == []


def examples() -> list[dict[str, str]]:
    with EXAMPLES.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", examples(), ids=lambda row: row["item"])
def test_totals_of_the_official_examples_come_out_to_the_cent(row: dict[str, str]) -> None:
    said = {name: D(value) for name, value in re.findall(r"(BT-\d+) (-?[\d.]+)", row["value"])}
    taxes = [
        Rounding().taxed(D(base), D("0" if rate == "None" else rate), 2, includes_tax=False)
        for rate, base in re.findall(r"[A-Z]@([\d.]+|None): (-?[\d.]+) ->", row["note"])
    ]
    told = [D(tax) for tax in re.findall(r"-> (-?[\d.]+)", row["note"])]
    assert taxes
    assert [each.vat for each in taxes] == told
    assert said["BT-109"] == said["BT-106"] - said["BT-107"] + said["BT-108"] == sum(each.net for each in taxes)
    assert said["BT-110"] == sum(each.vat for each in taxes)
    assert said["BT-112"] == said["BT-109"] + said["BT-110"]
    assert said["BT-115"] == said["BT-112"] - said["BT-113"]


@pytest.mark.thorough
@pytest.mark.slow
def test_a_thousand_lines_pass() -> None:
    einvoices.seller()
    sale = einvoices.issued(*[einvoices.thing(f"Piece {at}", f"{at % 97}.{at % 100:02}") for at in range(1000)])
    found = selectors.einvoice(sale)
    assert len(found.lines) == 1000
    for syntax, write in WRITE.items():
        assert official.faults(write(found), syntax) == [], syntax


@pytest.mark.parametrize("syntax", WRITE)
def test_hostile_names_are_words_and_nothing_else(syntax: str) -> None:
    _, found = made("hostile names")
    xml = WRITE[syntax](replace(found, terms="tab\tok, bell\x07 and \ud800 gone"))
    assert b"<!" not in xml.replace(b"<?xml", b"")
    root = etree.fromstring(xml, etree.XMLParser(resolve_entities=False, no_network=True))
    assert " ".join(einvoices.HOSTILE[:200].split()) in [each.text for each in root.iter()]
    assert "bell and" in "".join(root.itertext())
