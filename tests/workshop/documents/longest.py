"""A label of every kind with names of 80 letters, numbers of 20 signs and amounts of nine figures, and how to print it alone."""

from __future__ import annotations

from typing import Any

from reportlab.lib.units import mm

from inventory.base.labels import rules
from tests.workshop.documents import reading
from tests.workshop.documents.examples import LONG_NUMBER, LONG_PIECE, care_label, long_care_label, price_ticket
from tests.workshop.documents.shed_examples import (
    DANGER,
    bath_label,
    frame_tag,
    jar_label,
    long_bath_label,
    shelf_label,
    skin_tag,
)
from workshop.documents.kit import cards
from workshop.documents.kit.cards import Card, Layout
from workshop.documents.kit.page import Box, Paper
from workshop.documents.labelling import KINDS
from workshop.documents.labels.shelf_label import Kept
from workshop.documents.labels.tag import FrameLabel
from workshop.documents.words.rules import Words

NAMES = {
    "words": "Lumivalkoinen lammastalja suurella reunavahvikkeella ja nauhakiinnityksellä, ÅÄ",
    "one word": "Lammastaljamatonreunavahvikenauhakiinnityssolkipussukkakoteloåäöylijäämähuopatut",
    "right to left": "דוד בן־שושן ובניו, עיבוד עורות ופרוות בעבודת יד מסורתית מאז שנת אלף תשע מאות ויותר",
}
PLACE = "Vajan takaseinän ylin hylly, pölyltä suojattu kaappi nro 123"  # 60 signs, the most of a place
AMOUNT, PRICE = "123,456,789 kg", "123,456,789.00"

# Rolls that are sold everywhere, and the sheets that everybody has.
SHEETS = {**rules.COMMON, **{name: rules.asked(name, "a4") for name in ("57x32mm", "62x29mm", "100x50mm")}}


def labels(name: str, number: str = LONG_NUMBER, *, second: Words | None = None) -> dict[str, Any]:
    """One of each kind, its own names and figures the longest, its maker as usual."""
    piece = {"title": name, "article": number, "kind": name[:60], "species": (name[:60],)}
    care = care_label(**piece, batch=number, second=second)
    return {
        **dict.fromkeys(("care", "care-card", "hang-tag"), care),
        "ticket": price_ticket(**piece, price_text=PRICE, on_top=True),
        "tag": skin_tag(tag=number, species=name[:60], owner_mark=name),
        "frame": frame_tag(frame=number, skins=(f"{number[:-1]}A", f"{number[:-1]}B"), batch=number),
        "number": FrameLabel(number, PLACE, name, name),
        "bath": bath_label(batch=number, contents=tuple((name, f"{AMOUNT} · 1,234.567 g/L") for _ in range(3))),
        "jar": jar_label(name=name, supplier=name, lot=number * 2, code=number, hazards=DANGER),
        "shelf": shelf_label(place=PLACE, kept=(Kept(name, AMOUNT, "Danger"), Kept(name[::-1].strip(), AMOUNT))),
    }


def longest(name: str, second: Words | None = None) -> dict[str, Any]:
    """The same of a maker whose every word is long too."""
    own = {"title": name, "kind": name[:60], "article": LONG_NUMBER}
    care = long_care_label(**own, second=second)
    return {
        **labels(name),
        **dict.fromkeys(("care", "care-card", "hang-tag"), care),
        "ticket": price_ticket(**{**LONG_PIECE, **own}, price_text=PRICE, on_top=True),
        "tag": skin_tag(tag=LONG_NUMBER, species=name[:60], owner_mark=name, workshop=name),
        "bath": long_bath_label(contents=tuple((name, f"{AMOUNT} · 1,234.567 g/L") for _ in range(3)), workshop=name),
    }


def meant(label: Any) -> str:
    """What the code of a label is to say."""
    named = ("code", "article", "tag", "frame", "number", "batch", "place")
    return next(str(found) for name in named if (found := getattr(label, name, "")))


def alone(kind: str, label: Any, sheet: str = "") -> tuple[bytes, Box]:
    """A label by itself in the last place of a sheet, or of its own size, with white around it; and its place."""
    card = KINDS[kind].card(label)
    if not sheet:
        return _amid(card, *cards.own_size(card).size)
    if (known := SHEETS[sheet]) and known.paper == rules.ROLL:
        return _amid(card, float(known.width) * mm, float(known.height) * mm)
    layout = cards.on_sheet(SHEETS[sheet])
    return cards.run([card], layout=layout, start=len(layout.places)), layout.places[-1]


def _amid(card: Card, width: float, height: float) -> tuple[bytes, Box]:
    edge = 10 * mm
    place = Box(edge, edge, width, height)
    around = Paper((width + 2 * edge) / mm, (height + 2 * edge) / mm)
    return cards.run([card], layout=Layout(around, (place,))), place


def spot(place: Box) -> reading.Spot:
    return reading.Spot(place.x, place.y, place.right, place.top)
