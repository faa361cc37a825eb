"""Owns the label of a jar that something was decanted into: the name as on the safety data sheet, where it came from, its weights.

Must not work out a density or choose a hazard: both come in as words (see `hazards` for the usual ones).
"""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from costing.make.baths.chemistry import cautions
from workshop.documents.kit import cards
from workshop.documents.kit.cards import Card
from workshop.documents.kit.page import Paper
from workshop.documents.kit.stack import Para
from workshop.documents.kit.wording import day, formula
from workshop.documents.labels import vessel_label
from workshop.documents.labels.hazards import PRECAUTIONS
from workshop.documents.labels.vessel_label import VesselLabel

STANDING = ("Keep shut and dry.", cautions.NOT_FOOD, cautions.DISPOSAL)

# The dash of a unit's name (us_cup), and not a line to write on.
_IN_A_NAME = re.compile(r"(?<=[^\W_])_(?=[^\W_])")
NO_HAZARDS = "No hazard words were given: look in the safety data sheet before you open it."


@dataclass(frozen=True)
class JarLabel:
    """One jar of `litres`. `density` such as "1 us_cup = 292 g, weighed 3 Mar"; `tare` such as "412 g with lid".

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
    warned_by: str = ""
    precautions: tuple[str, ...] = PRECAUTIONS
    workshop: str = ""
    code: str = ""


def render(label: JarLabel, copies: int = 1, sheet: Paper | None = None) -> bytes:
    """The label as PDF, sized by what the jar holds."""
    return cards.render(card(label), copies, sheet)


def card(label: JarLabel) -> Card:
    made = VesselLabel(
        title=f"Jar label {label.name}",
        name=label.name,
        facts=_facts(label),
        hazards=label.hazards,
        warned_by=label.warned_by,
        precautions=label.precautions,
        standing=(cautions.PROTECT, *STANDING) if any(label.hazards) else STANDING,
        no_hazards=NO_HAZARDS,
        litres=label.litres,
        code=label.code,
        workshop=label.workshop,
    )
    return vessel_label.card(made)


def _facts(label: JarLabel) -> tuple[Para, ...]:
    lot = f"lot {label.lot}" if label.lot else ""
    return (
        Para(formula(label.formula)),
        Para(", ".join(filter(None, (label.supplier, lot)))),
        Para(f"Opened {day(label.opened_on)}" if label.opened_on else "Opened on ____________"),
        Para(f"Tare {label.tare}" if label.tare else ""),
        Para(_IN_A_NAME.sub(" ", label.density), bold=True, before=1),
    )
