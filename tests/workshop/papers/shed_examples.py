"""Papers of the invented workshop's shed, and the same with every name as long as the records allow."""

from __future__ import annotations

from datetime import date
from typing import Any

from tests.workshop.papers.examples import LONG_MAKER, LONG_NUMBER, UNBROKEN
from workshop.papers.tag import FrameTag, SkinTag

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


__all__ = ["LONG_MAKER", "LONG_NUMBER", "UNBROKEN", "frame_tag", "long_skin_tag", "skin_tag"]
