"""Papers of the invented workshop, and of one whose every word is long."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from workshop.documents.labels.care_card import CareLabel
from workshop.documents.labels.price_ticket import PriceTicket
from workshop.documents.reports.month import BatchUse, MonthLine, MonthReport

MAKER = {
    "maker": "Routamo Skins, K. Routamo",
    "postal": "Tawyard Lane 4, 99999 Utuharju",
    "electronic": "post@routamo-skins.example.org",
}


UNBROKEN = "Lammastaljamatonreunavahvikenauhakiinnityssolkipussukkakotelo"[:60]


LONG_NUMBER = "2025-ROUTAMO-H03-001"


LONG_MAKER = {
    "maker": "Pöllöpuron Nahka- ja Turkismuokkaamo Åke Tuohiköngäs ja tytär",
    "postal": "Sammalniityntie 1234 B 56, Pohjois-Savupirtinkylä, 99999 Utuharju-Hallasalmi, Kelokangas, Suomi",
    "electronic": "asiakaspalvelu.muokkaamo@pollopuron-nahka-ja-turkismuokkaamo.example.org",
}


def care_label(**changed: str) -> CareLabel:
    given = {
        "method": "alum_tawed",
        "article": "H03",
        "kind": "Ram rug",
        "species": "sheep",
        "area_text": "about 101 dm2 (10.9 sq ft)",
        "batch": "B1",
        **MAKER,
        **changed,
    }
    return CareLabel(**given)


def long_care_label(method: str) -> CareLabel:
    return care_label(
        method=method,
        article=LONG_NUMBER,
        kind=UNBROKEN,
        species="Lumivalkoinen ahvenanmaanlammas (pässi, ÅÄÖ åäö)",
        area_text="about 1 021 dm2 (109.9 sq ft)",
        batch="2025-TAMMIKUU-ERÄ-01",
        **LONG_MAKER,
    )


def price_ticket(**changed: str) -> PriceTicket:
    given = {
        "article": "H03",
        "kind": "Ram rug",
        "species": "sheep",
        "method_label": "Alum-tawed",
        "area_text": "about 101 dm2 (10.9 sq ft)",
        "price_text": "185.00",
        "currency": "EUR",
        **MAKER,
        **changed,
    }
    return PriceTicket(**given)


def long_price_ticket() -> PriceTicket:
    return price_ticket(
        article=LONG_NUMBER,
        kind=UNBROKEN,
        species="Lumivalkoinen ahvenanmaanlammas (pässi, ÅÄÖ åäö)",
        method_label="Synthetic or brush-on oil",
        area_text="about 1 021 dm2 (109.9 sq ft)",
        price_text="12,450,000.00",
        **LONG_MAKER,
    )


def month_line(code: str, name: str, unit: str, amounts: str, values: str) -> MonthLine:
    """A line from "opening received used other" twice; the closings follow from them."""
    o, r, u, x = map(Decimal, amounts.split())
    ov, rv, uv, xv = map(Decimal, values.split())
    return MonthLine(code, name, unit, (o, r, u, x, o + r - u + x), (ov, rv, uv, xv, ov + rv - uv + xv))


def month_report(*, repeat: int = 1, big: str = "5.40 28.98 3.73 0.00") -> MonthReport:
    lines = (
        month_line("SALT", "Fine salt, non-iodised", "kg", "12 50 6.72 0", big),
        month_line("ALUMK", "Potash alum", "kg", "0.6 2 1.44 0", "2.70 14.62 9.60 0.00"),
        month_line("GLOVE", "Gloves", "pc", "40 100 20 -2", "4.40 11.90 2.33 -0.23"),
    )
    uses = (
        BatchUse("B1", "Fine salt, non-iodised", "kg", Decimal("6.72"), Decimal("3.73")),
        BatchUse("B1", "Potash alum", "kg", Decimal("1.44"), Decimal("9.60")),
    )
    return MonthReport("Routamo Skins", "2025-01", "EUR", lines * repeat, uses * repeat, date(2025, 2, 3))
