"""What several papers ask of the records: a batch by its number, who is in it, what a material's label warns of."""

import re
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any, TypeVar

from django.db.models import Model, Prefetch, Q, QuerySet
from django.db.models.functions import Lower

from costing.make.steps import selectors as steps
from costing.make.steps.plans.selectors import Ahead
from costing.models import Batch, BatchSkin, Customer, Job, RecipeStep, Reminder, Sale
from inventory.errors import Refused
from inventory.materials import selectors as read
from inventory.models import Material, Place
from workshop.documents.labels import hazards
from workshop.documents.labels.hazards import Whose
from workshop.documents.words.rules import Words

# A note that carries the codes of hazard statements was copied from a safety data sheet, which goes before defaults.
_FROM_SHEET = re.compile(r"\b(?:EU)?H\d{3}")
_SIGNAL = re.compile(r"(danger|warning)\b[\s.:!,;–-]*", re.IGNORECASE)

M = TypeVar("M", bound=Model)


# Papers of one row, by the number or name that is on it: its rows, the field of it, and where a person finds it.
_ROWS: dict[str, tuple[QuerySet[Any], str, str]] = {
    "packing": (Sale.objects.order_by("pk"), "number", "Sales"),
    "job": (Job.objects.select_related("customer", "skin"), "number", "Jobs"),
    "reminder": (Reminder.objects.select_related("sale").order_by("-on", "-pk"), "sale__number", "Owed to me"),
    "statement": (Customer.objects.order_by("pk"), "name", "Customers"),
    "gallery": (Place.objects.filter(kind=Place.Kind.GALLERY).select_related("channel"), "name", "Places"),
}
NAMED = (*_ROWS, "card")


def named(paper: str, name: str) -> object:
    """What a paper is of, by the name that is typed; of a reminder the last one of that invoice. A batch's card takes the name."""
    if paper not in _ROWS:
        return name
    rows, field, where = _ROWS[paper]
    found = rows.filter(**{f"{field}__iexact": name}).first()
    if found is None:
        raise Refused(f"There is no {paper} of {name}. Its number or name is under {where}.", field="number")
    return found


def called(rows: QuerySet[M], field: str, names: Sequence[str], otherwise: str) -> list[M]:
    """The rows that names are of, in their order.

    `otherwise`: the refusal where one is of none, with `{}` for the name; its field is that of the row's kind.
    """
    there, lost = found(rows, field, names)
    if lost:
        raise Refused(otherwise.format(lost[0]), field=rows.model._meta.model_name)
    return there


def found(rows: QuerySet[M], field: str, names: Sequence[str]) -> tuple[list[M], list[str]]:
    """The rows that names are of, in their order, however large the letters; and the names that are of none. Read at once, so
    that thirty cost what one costs."""
    typed = [name.lower() for name in names]
    there = rows.alias(lowered=Lower(field)).filter(Q(**{f"{field}__in": names}) | Q(lowered__in=typed))
    exact = {getattr(row, field): row for row in there}
    folded = {name.lower(): row for name, row in exact.items()}
    which = [(name, exact.get(name) or folded.get(name.lower())) for name in names]
    return [row for _, row in which if row is not None], [name for name, row in which if row is None]


def batch(name: str) -> Batch:
    """A batch by its number; or by the tub or frames that it alone is in now."""
    rows = Batch.objects.select_related("version__recipe", "place", "frames").prefetch_related(
        Prefetch("stays", queryset=BatchSkin.objects.select_related("skin")),
        Prefetch("version__steps", queryset=RecipeStep.objects.order_by("position")),
    )
    if found := rows.filter(number__iexact=name).first():
        return found
    place = Place.objects.filter(name__iexact=name).first()
    if place is None:
        raise Refused(f"There is no batch {name}. Its number is on the page Batches.", field="batch")
    field = "frames" if place.kind == Place.Kind.FRAME else "place"
    there = list(rows.filter(**{field: place}).exclude(state=Batch.State.DONE))
    if len(there) == 1:
        return there[0]
    numbers = ", ".join(row.number for row in there) or "no batch that is not done"
    raise Refused(f"{place.name} has {numbers}. Name the batch by its number.", field="batch")


def ahead(one: Ahead, words: Words) -> str:
    """What is to be done: a step in the recipe's own words, an addition in those of the paper."""
    return words("card.add", what=one.addition.what) if one.addition else one.words


def inside(row: Batch, today: date, then: date) -> tuple[str, ...]:
    """Tags of those in the batch today; of a batch that all have left, of those in it on the day the paper speaks of."""
    there = steps.there_on(row, today) or [stay for stay in row.stays.all() if stay.covers(then)]
    return tuple(sorted(stay.skin.tag for stay in there))


def hazard_words(materials: Iterable[Material]) -> tuple[str, ...]:
    """Signal word, the maker's own notes, then the default words of the substances.

    A note with the codes of hazard statements (H318) stands instead of the default words of its own material.
    """
    rows = list(materials)
    notes = [_note(row.hazard_note) for row in rows]
    default = hazards.for_substances(row.substance for row in rows if not _FROM_SHEET.search(row.hazard_note))
    return hazards.together(*notes, default)


def warned_by(materials: Iterable[Material]) -> tuple[Whose, ...]:
    """Whose words those are, of each material that has any: of the maker's own sheet and its day, or from memory."""
    return tuple(_whose(row) for row in materials if hazard_words([row]))


def _whose(row: Material) -> Whose:
    whose, dated = read.warned_by(row), bool(row.sheet and row.sheet_on)
    return Whose(row.name, f"{whose}_of" if dated else whose, row.sheet_on if dated else None)


def _note(note: str) -> tuple[str, ...]:
    found = _SIGNAL.match(note)
    return (found[1], note[found.end() :]) if found else (note,)
