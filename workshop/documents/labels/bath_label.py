"""Owns the bath label: what is in the tub, how strong, since when, who is in it, and what it can do to you.

Must not work out a strength or choose a hazard: both come in as words (see `hazards` for the usual ones).
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from workshop.documents.kit import cards
from workshop.documents.kit.cards import Card
from workshop.documents.kit.page import Paper
from workshop.documents.kit.stack import Para
from workshop.documents.kit.wording import number
from workshop.documents.labels import hazards, vessel_label
from workshop.documents.labels.hazards import Whose
from workshop.documents.labels.vessel_label import VesselLabel
from workshop.documents.words.rules import Words

STANDING = ("vessel.protect", "vessel.never_seal", "vessel.not_food", "vessel.disposal")


@dataclass(frozen=True)
class BathLabel:
    """One bath. `contents` are names, each with its amount and strength ("1.44 kg · 80 g/L"); `litres` is the bath,
    `volume` the same in the maker's measure (empty: in litres), `vessel_litres` the tub; `added_on` the day of the last addition.

    `hazards` is the signal word, if there is one, then the sentences, and `warned_by` says
    whose words these are: “Words by your data sheet of 3 Mar 2025.” No `precautions`: the usual ones.
    """

    batch: str
    contents: tuple[tuple[str, str], ...]
    litres: Decimal
    made_on: date
    added_on: date
    vessel: str
    who_is_in_it: tuple[str, ...]
    hazards: tuple[str, ...]
    warned_by: tuple[Whose, ...] = ()
    precautions: tuple[str, ...] = ()
    vessel_litres: Decimal | None = None
    volume: str = ""
    workshop: str = ""
    words: Words = Words()


def render(label: BathLabel, copies: int = 1, sheet: Paper | None = None) -> bytes:
    """The label as PDF, sized by the vessel (by the bath where the vessel's volume is not known)."""
    return cards.render(card(label), copies, sheet)


def card(label: BathLabel) -> Card:
    made = VesselLabel(
        title=label.words("bath.title", batch=label.batch),
        name=label.batch,
        facts=_facts(label),
        hazards=label.hazards,
        warned_by=hazards.whose(label.warned_by, label.words),
        precautions=label.precautions,
        standing=tuple(label.words(key) for key in STANDING),
        no_hazards=label.words("bath.no_hazards"),
        litres=label.litres if label.vessel_litres is None else label.vessel_litres,
        workshop=label.workshop,
        words=label.words,
        tall=True,
        code=label.batch,
    )
    return vessel_label.card(made)


def _facts(label: BathLabel) -> tuple[Para, ...]:
    words, volume = label.words, label.volume or f"{number(label.litres)} L"
    made = [
        words("bath.batch", batch=label.batch),
        label.vessel or words("bath.no_tub"),
        volume,
        words("bath.filled", day=words.day(label.made_on)),
    ]
    if label.added_on != label.made_on:
        made.append(words("bath.last_addition", day=words.day(label.added_on)))
    inside = ", ".join(label.who_is_in_it)
    return (
        Para(" · ".join(made)),
        *(Para(name, bold=True, right=strength, before=1) for name, strength in label.contents),
        Para(words("bath.inside", skins=inside) if inside else words("bath.nobody"), before=2),
    )
