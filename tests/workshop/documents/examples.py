"""Papers of the invented workshop, and of one whose every word is long."""

from __future__ import annotations

from datetime import date
from typing import Any

from workshop.documents.labels.care import CareLabel
from workshop.documents.labels.price_ticket import PriceTicket

MAKER = {
    "brand": "Routamo Skins",
    "maker": "K. Routamo",
    "postal": "Tawyard Lane 4, 99999 Utuharju",
    "electronic": "post@routamo-skins.example.org",
}

UNBROKEN = "Lammastaljamatonreunavahvikenauhakiinnityssolkipussukkakotelo"[:60]
LONG_TITLE = f"{UNBROKEN} valkoinen suuri ÅÄÖ"  # 80 characters, the most that a title may have
LONG_NUMBER = "2025-ROUTAMO-H03-001"

LONG_MAKER = {
    "maker": "Pöllöpuron Nahka- ja Turkismuokkaamo Åke Tuohiköngäs ja tytär",
    "postal": "Sammalniityntie 1234 B 56, Pohjois-Savupirtinkylä, 99999 Utuharju-Hallasalmi, Kelokangas, Suomi",
    "electronic": "asiakaspalvelu.muokkaamo@pollopuron-nahka-ja-turkismuokkaamo.example.org",
}
LONG_BRAND = "Pöllöpuron Nahka- ja Turkismuokkaamo sekä Utuharjun Skinnmakeri, perustettu 1987"

PIECE: dict[str, Any] = {
    "method": "alum_tawed",
    "article": "H03",
    "kind": "rug",
    "species": ("sheep",),
    "area_text": "101 dm2 (10.9 sq ft)",
    **MAKER,
}
LONG_PIECE: dict[str, Any] = {
    "article": LONG_NUMBER,
    "kind": UNBROKEN,
    "title": LONG_TITLE,
    "species": ("Lumivalkoinen ahvenanmaanlammas (pässi, ÅÄÖ åäö)",),
    "area_text": "1 021 dm2 (109.9 sq ft)",
    **LONG_MAKER,
    "brand": LONG_BRAND,
}


def care_label(**changed: Any) -> CareLabel:
    given = {
        **PIECE,
        "batch": "B1",
        "finished": date(2025, 2, 22),
        "hair": "on",
        "use": "rug",
        "origin": "Finland",
        **changed,
    }
    return CareLabel(**given)


def long_care_label(method: str = "alum_tawed", **changed: Any) -> CareLabel:
    long = {"batch": "2025-TAMMIKUU-ERÄ-01", "origin": "Utuharjun ja Kelokankaan seutu, Suomi", "method": method}
    return care_label(**{**LONG_PIECE, **long, **changed})


def price_ticket(**changed: Any) -> PriceTicket:
    return PriceTicket(**{**PIECE, "price_text": "185.00", "currency": "EUR", **changed})


def long_price_ticket() -> PriceTicket:
    return price_ticket(**{**LONG_PIECE, "method": "synthetic", "hair": "off", "price_text": "12,450,000.00"})
