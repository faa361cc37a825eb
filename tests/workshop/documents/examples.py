"""Papers of the invented workshop, and of one whose every word is long."""

from __future__ import annotations

from workshop.documents.labels.care_card import CareLabel
from workshop.documents.labels.price_ticket import PriceTicket

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
