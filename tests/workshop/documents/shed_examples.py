"""Papers of the invented workshop's shed, and the same with every name as long as the records allow."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from costing.make.baths.chemistry import cautions
from tests.workshop.documents.examples import LONG_MAKER, LONG_NUMBER, UNBROKEN
from workshop.documents.labels.bath_label import BathLabel
from workshop.documents.labels.jar_label import JarLabel
from workshop.documents.labels.shelf_label import Kept, ShelfLabel
from workshop.documents.labels.tag import FrameTag, SkinTag
from workshop.documents.shed.batch_card import Amount, BatchCard, CardDay, CardSkin
from workshop.documents.shed.grid_sheet import GridSheet
from workshop.documents.shed.stand_in_sheet import StandInSheet, Tub

SHOP = "Routamo Skins"
LONG_SPECIES = "Lumivalkoinen ahvenanmaanlammas (pässi, ÅÄÖ åäö)"
LONG_CUSTOMER = "Åke Tuohiköngäs ja tytär, Pohjois-Savupirtinkylän metsästysseura, Kelokangas, osasto 9"[:80]


def skin_tag(**changed: Any) -> SkinTag:
    given = {"tag": "H03", "species": "sheep", "owner_mark": "own", "date_in": date(2025, 1, 11), "workshop": SHOP}
    return SkinTag(**{**given, **changed})


def long_skin_tag(**changed: Any) -> SkinTag:
    given = {"tag": LONG_NUMBER, "species": LONG_SPECIES, "owner_mark": LONG_CUSTOMER, "workshop": LONG_MAKER["maker"]}
    return skin_tag(**{**given, **changed})


def frame_tag(**changed: Any) -> FrameTag:
    given = {
        "frame": "F2",
        "skins": ("H01", "H02"),
        "batch": "B1",
        "up_on": date(2025, 2, 3),
        "ready_about": date(2025, 2, 11),
        "workshop": SHOP,
    }
    return FrameTag(**{**given, **changed})


BATH = (("Potash alum", "80 g/L"), ("Fine salt, non-iodised", "40 g/L"), ("Washing soda crystals", "20 g/L"))
DANGER = ("Danger", "Causes serious eye damage (H318).", "May corrode metals (H290).")


def bath_label(**changed: Any) -> BathLabel:
    given = {
        "batch": "B1",
        "contents": BATH,
        "litres": Decimal(18),
        "made_on": date(2025, 1, 20),
        "added_on": date(2025, 1, 20),
        "vessel": "Tub 2",
        "who_is_in_it": ("H01", "H02", "H03"),
        "hazards": DANGER,
        "workshop": SHOP,
    }
    return BathLabel(**{**given, **changed})


def long_bath_label(**changed: Any) -> BathLabel:
    given = {
        "batch": LONG_NUMBER,
        "contents": ((LONG_SPECIES, "1,234.567 g/L"), (UNBROKEN, "40 g/L"), ("Fine salt, non-iodised", "40 g/L")),
        "vessel": "Valkoinen elintarvikemuovinen saavi ulkovajan oven vieressä"[:60],
        "who_is_in_it": tuple(f"{LONG_NUMBER}-{index}" for index in range(6)),
        "workshop": LONG_MAKER["maker"],
    }
    return bath_label(**{**given, **changed})


def jar_label(**changed: Any) -> JarLabel:
    given = {
        "name": "Hydrated lime",
        "formula": "Ca(OH)2",
        "supplier": "Utuharju Chemicals",
        "lot": "P-005",
        "opened_on": date(2025, 5, 10),
        "density": "1 us_cup = 132 g, weighed 3 Mar",
        "tare": "412 g with lid",
        "hazards": ("Danger", "Causes serious eye damage (H318).", "Causes skin irritation (H315)."),
        "workshop": SHOP,
    }
    return JarLabel(**{**given, **changed})


def shelf_label(**changed: Any) -> ShelfLabel:
    kept = (Kept("Potash alum", "2 kg"), Kept("Hydrated lime", "5 kg", "Danger"), Kept("Neatsfoot oil"))
    return ShelfLabel(**{"place": "A2", "kept": kept, "workshop": SHOP, **changed})


def batch_card(**changed: Any) -> BatchCard:
    turns = (
        CardDay(
            date(2025, 1, 20) + timedelta(days=count), "Turn, open the folds", 1, 6, cautions.CAUTIONS["gloves"].short
        )
        for count in range(1, 11)
    )
    given = {
        "workshop": SHOP,
        "batch": "B1",
        "recipe": "R1 v1",
        "start": date(2025, 1, 11),
        "vessel": "Tub 2",
        "litres": "18 L",
        "skins": (
            CardSkin("H01", "sheep, ewe", "4.6 kg"),
            CardSkin("H02", "sheep, ewe", "4.2 kg"),
            CardSkin("H03", "sheep, ram", "5.4 kg"),
        ),
        "amounts": (Amount("Fine salt", "720 g"), Amount("Potash alum", "1,440 g"), Amount("Soda crystals", "360 g")),
        "days": (
            CardDay(date(2025, 1, 20), "Mix the bath", 1, 30, cautions.CAUTIONS["gas"].short),
            *turns,
            CardDay(date(2025, 2, 12), "Soften, a box a session", 6, 205),
        ),
        "notes": "H03 has two holes.",
    }
    return BatchCard(**{**given, **changed})


def grid_sheet(**changed: Any) -> GridSheet:
    return GridSheet(**{"workshop": SHOP, "printed_on": date(2025, 1, 20), **changed})


def tub(**changed: Any) -> Tub:
    given = {
        "place": "Tub 2",
        "batch": "B1",
        "skins": ("H01", "H02", "H03"),
        "recipe": "R1 v1",
        "next_steps": ((date(2025, 1, 21), "turn every skin"), (date(2025, 1, 31), "take out and neutralise")),
        "cautions": (cautions.CAUTIONS["gas"].said, cautions.CAUTIONS["eyes"].said),
        "risk": "193.52 EUR",
    }
    return Tub(**{**given, **changed})


def stand_in_sheet(**changed: Any) -> StandInSheet:
    frame = tub(place="Frame F2", batch="B2", skins=("H04", "H06"), recipe="R2 v1", cautions=(), risk="", next_steps=())
    given = {
        "workshop": SHOP,
        "printed_on": date(2025, 1, 20),
        "tubs": (tub(), frame),
        "contacts": ("Kelokangas Reindeer Group",),
    }
    return StandInSheet(**{**given, **changed})
