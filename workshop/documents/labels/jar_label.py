"""Owns the label of a jar that something was decanted into: the name as on the safety data sheet, where it came from, its weights.

Must not work out a density or choose a hazard: both come in as words (see `hazards` for the usual ones).
"""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from workshop.documents.kit import cards
from workshop.documents.kit.cards import Card
from workshop.documents.kit.page import Paper
from workshop.documents.kit.stack import Para
from workshop.documents.kit.wording import formula
from workshop.documents.labels import hazards, vessel_label
from workshop.documents.labels.hazards import Whose
from workshop.documents.labels.vessel_label import VesselLabel
from workshop.documents.words.rules import Words

STANDING = ("jar.keep_shut", "vessel.not_food", "vessel.disposal")

# The dash of a unit's name (us_cup), and not a line to write on.
_IN_A_NAME = re.compile(r"(?<=[^\W_])_(?=[^\W_])")


@dataclass(frozen=True)
class JarLabel:
    """One jar of `litres`. `tare` such as "412 g with lid".

    `density` such as "1 us_cup = 292 g, weighed 3 Mar", or with a `cup` what that holds, level.
    `hazards` is the signal word, if there is one, then the sentences, and `warned_by` says whose words these are.
    """

    name: str
    formula: str
    supplier: str
    lot: str
    opened_on: date | None
    density: str
    tare: str
    hazards: tuple[str, ...]
    litres: Decimal = Decimal(1)
    warned_by: tuple[Whose, ...] = ()
    precautions: tuple[str, ...] = ()
    workshop: str = ""
    code: str = ""
    cup: str = ""
    words: Words = Words()


def render(label: JarLabel, copies: int = 1, sheet: Paper | None = None) -> bytes:
    """The label as PDF, sized by what the jar holds."""
    return cards.render(card(label), copies, sheet)


def card(label: JarLabel) -> Card:
    standing = ("vessel.protect", *STANDING) if any(label.hazards) else STANDING
    made = VesselLabel(
        title=label.words("jar.title", name=label.name),
        name=label.name,
        facts=_facts(label),
        hazards=label.hazards,
        warned_by=hazards.whose(label.warned_by, label.words),
        precautions=label.precautions,
        standing=tuple(label.words(key) for key in standing),
        no_hazards=label.words("jar.no_hazards"),
        litres=label.litres,
        code=label.code,
        workshop=label.workshop,
        words=label.words,
    )
    return vessel_label.card(made)


def _facts(label: JarLabel) -> tuple[Para, ...]:
    words = label.words
    density = words("jar.density", cup=label.cup, weight=label.density) if label.cup else label.density
    lot = words("jar.lot", lot=label.lot) if label.lot else ""
    opened = words("jar.opened", day=words.day(label.opened_on)) if label.opened_on else words("jar.to_open")
    return (
        Para(formula(label.formula)),
        Para(", ".join(filter(None, (label.supplier, lot)))),
        Para(opened),
        Para(words("jar.tare", tare=label.tare) if label.tare else ""),
        Para(_IN_A_NAME.sub(" ", density), bold=True, before=1),
    )
