"""Papers of selling of the invented workshop, and the same with long words and sixty lines."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from costing.sell.sales.tax import rules as tax
from tests.workshop.documents.examples import LONG_MAKER, LONG_NUMBER, UNBROKEN
from workshop.documents.kit.letter import Party
from workshop.documents.sales.fair_day import FairDay, PackedPiece
from workshop.documents.sales.gallery import GalleryPaper, GalleryPiece
from workshop.documents.sales.invoice import Invoice, InvoiceLine
from workshop.documents.sales.packing_slip import PackedItem, PackingSlip
from workshop.documents.sales.receipt import Receipt
from workshop.documents.shed.job_card import JobCard
from workshop.documents.shed.stocktake_sheet import StocktakeItem, StocktakeSheet

D = Decimal
SELLER = Party("K. Routamo, Routamo Skins", "Tawyard Lane 4, 99999 Utuharju", "post@routamo-skins.example.org")
REGISTERED = replace(SELLER, tax_number="FI12345671", business_number="1234567-1")
BUYER = Party("Savupirtti Craft Room", "Kelokatu 8, 99998 Savupirtti", "room@example.org")
LONG = Party(LONG_MAKER["maker"], LONG_MAKER["postal"], LONG_MAKER["electronic"], "F" * 40, "1234567-1" * 4)
LONG_WORDS = f"{LONG_NUMBER} {UNBROKEN} (pässi, ÅÄÖ åäö)"
NO_TAX = "No tax is charged: the seller is not registered for it."


def untaxed(what: str, price: str, quantity: str = "1", discount: str = "0") -> InvoiceLine:
    amount = D(price) * D(quantity) - D(discount)
    return InvoiceLine(what, D(quantity), D(price), amount, D("0.00"), amount, D(discount))


def invoice(*lines: InvoiceLine, **changed: Any) -> Invoice:
    """An invoice of a seller who is not registered, unless changed."""
    lines = lines or (untaxed("H02 rug, sheep", "185.00"), untaxed("Postage", "12.90"))
    given: dict[str, Any] = {
        "number": "INV-002",
        "issued_on": date(2025, 6, 14),
        "supplied_on": date(2025, 6, 13),
        "due_on": date(2025, 6, 28),
        "seller": SELLER,
        "buyer": BUYER,
        "lines": lines,
        "net": sum((line.net for line in lines), D(0)),
        "tax": sum((line.tax for line in lines), D(0)),
        "gross": sum((line.gross for line in lines), D(0)),
        "currency": "EUR",
        "notes": (NO_TAX,),
    }
    return Invoice(**given | changed)


def taxed_lines(rows: list[tax.PaperLine]) -> tuple[InvoiceLine, ...]:
    """Lines as issued, with the amounts that the rules of tax give."""
    total = tax.summary(rows, tax.Mode.REGISTERED)
    nets = tax.line_nets(rows, total)
    return tuple(
        InvoiceLine(
            row.what,
            row.quantity,
            row.unit_price,
            net,
            gross - net,
            gross,
            row.discount,
            row.rate,
            tax.net_unit_price(row),
            row.relief,
        )
        for row, net, gross in zip(rows, nets, total.amounts, strict=True)
    )


def taxed_invoice(**changed: Any) -> Invoice:
    rows = [
        tax.PaperLine("H02 rug, sheep", D(1), D("185.00"), D("25.5"), discount=D("15.00")),
        tax.PaperLine("Care booklet", D(2), D("5.70"), D(14)),
        tax.PaperLine("Work for abroad", D(1), D("50.00"), D(0), relief="Export, art. 146"),
    ]
    return invoice(*taxed_lines(rows), **{"taxed": True, "seller": REGISTERED, "notes": (), **changed})


def long_invoice(lines: int = 60) -> Invoice:
    """Sixty lines at two rates, long names, a discount now and then."""
    rows = [
        tax.PaperLine(
            f"#{place:02d} {LONG_WORDS}",
            D(1),
            D("12450.00"),
            D("25.5") if place % 2 else D(14),
            discount=D("1.50") if place % 7 == 0 else D(0),
        )
        for place in range(1, lines + 1)
    ]
    return invoice(*taxed_lines(rows), taxed=True, seller=LONG, buyer=LONG, notes=("Pay within the days named. " * 6,))


def receipt(**changed: Any) -> Receipt:
    given: dict[str, Any] = {
        "number": "R-001",
        "on": date(2025, 3, 2),
        "seller": SELLER,
        "buyer": Party("Mrs Tuohiköngäs", "Keloharju 12, 99999 Utuharju"),
        "amount": D("66.00"),
        "how": "Cash",
        "what_for": "Deposit on J-01: reindeer tawed, hair on, skin H06",
        "currency": "EUR",
        "balance": D("99.00"),
        "deposit": True,
    }
    return Receipt(**given | changed)


def packing_slip(**changed: Any) -> PackingSlip:
    given: dict[str, Any] = {
        "number": "INV-002",
        "on": date(2025, 6, 14),
        "seller": SELLER,
        "buyer": BUYER,
        "items": (PackedItem("H02", "rug, sheep", "H02", "1", "Alum-tawed"), PackedItem("", "Comb", "", "2")),
    }
    return PackingSlip(**given | changed)


def fair_day(**changed: Any) -> FairDay:
    given: dict[str, Any] = {
        "workshop": "Routamo Skins",
        "name": "Christmas market",
        "on": date(2025, 11, 29),
        "pieces": (
            PackedPiece("H09", "fur, rabbit", D("32.00"), D("29.10"), D("32.00"), "cash"),
            PackedPiece("H12", "fur, rabbit", D("34.00"), D("29.00"), back=True),
            PackedPiece("H14", "fur, rabbit", None),
        ),
        "currency": "EUR",
        "place": "Fair box",
    }
    return FairDay(**given | changed)


def gallery_paper(**changed: Any) -> GalleryPaper:
    given: dict[str, Any] = {
        "seller": SELLER,
        "gallery": Party("Savupirtti Craft Room"),
        "on": date(2025, 9, 30),
        "held": (GalleryPiece("H03", "rug, sheep", date(2025, 8, 5), D("185.00"), D("64.75"), D("120.25")),),
        "currency": "EUR",
        "fee_percent": D("35.000"),
    }
    return GalleryPaper(**given | changed)


def statement(**changed: Any) -> GalleryPaper:
    sold = (GalleryPiece("INV-003", "H07 leather, goat", date(2025, 9, 20), D("140.00"), D("49.00"), D("91.00")),)
    return gallery_paper(**{"month": "2025-09", "sold": sold, "paid": D("0.00"), "due": D("91.00"), **changed})


def job_card(**changed: Any) -> JobCard:
    given: dict[str, Any] = {
        "workshop": SELLER,
        "customer": Party("Mrs Tuohiköngäs", "Keloharju 12, 99999 Utuharju"),
        "number": "J-01",
        "received_on": date(2025, 3, 2),
        "tag": "H06",
        "skin": "reindeer, bull",
        "work": "reindeer tawed, hair on",
        "condition": "salted, hair firm, one old scar at the left flank",
        "price": D("165.00"),
        "deposit": D("66.00"),
        "paid": D("66.00"),
        "currency": "EUR",
        "ready_by": date(2025, 6, 1),
        "photos": 2,
    }
    return JobCard(**given | changed)


def stocktake_sheet(**changed: Any) -> StocktakeSheet:
    given: dict[str, Any] = {
        "workshop": "Routamo Skins",
        "printed_on": date(2025, 12, 31),
        "places": (
            ("Chemical shelf", (StocktakeItem("ALUMK", "Potash alum", "kg"), StocktakeItem("H13", "Skin, goat"))),
            ("", (StocktakeItem("EGG", "Eggs", "pc"),)),
        ),
    }
    return StocktakeSheet(**given | changed)


def long_papers() -> dict[str, Any]:
    """Each paper with sixty lines of long words."""
    piece = [f"{LONG_NUMBER[:17]}{place:03d}" for place in range(60)]
    big = D("12450.00")
    return {
        "receipt": receipt(
            number="R-0000000000000001",
            seller=LONG,
            buyer=LONG,
            amount=D("12450000.00"),
            what_for=LONG_WORDS,
            note=LONG_WORDS,
        ),
        "packing_slip": packing_slip(
            seller=LONG,
            buyer=LONG,
            items=tuple(PackedItem(number, UNBROKEN, number, "1", "Synthetic or brush-on oil") for number in piece),
        ),
        "fair_day": fair_day(
            workshop=LONG.name,
            name=UNBROKEN,
            place=UNBROKEN,
            pieces=tuple(PackedPiece(number, UNBROKEN, big, D("9123.40"), big, "cash, card") for number in piece),
        ),
        "gallery": statement(
            seller=LONG,
            gallery=Party(UNBROKEN),
            held=tuple(GalleryPiece(number, UNBROKEN, date(2025, 1, 1), big, big / 2, big / 2) for number in piece),
            sold=tuple(GalleryPiece(number, UNBROKEN, date(2025, 9, 3), big, big / 2, big / 2) for number in piece),
            due=60 * big / 2,
        ),
        "job_card": job_card(
            workshop=LONG, customer=LONG, skin=UNBROKEN, work=LONG_WORDS * 2, condition=LONG_WORDS * 5, note=LONG_WORDS
        ),
        "stocktake_sheet": stocktake_sheet(
            places=(
                (
                    UNBROKEN,
                    tuple(
                        StocktakeItem(number, UNBROKEN, "US gallon" if place % 2 else "")
                        for place, number in enumerate(piece)
                    ),
                ),
            )
        ),
    }
