"""Keeping the maker's sheets of labels, and what the printer needs to hit them."""

from decimal import Decimal
from typing import Required, TypedDict, Unpack

from inventory.base import checks
from inventory.base.labels import rules
from inventory.base.labels.models import LabelSheet
from inventory.base.labels.rules import Sheet
from inventory.base.services import service
from inventory.errors import Refused, Taken
from inventory.permits import Act, Person

RESERVED = (*rules.PAPERS, "own")


class Said(TypedDict, total=False):
    """See `rules.Sheet`; millimetres."""

    name: Required[str]
    paper: Required[str]
    columns: Required[int]
    rows: Required[int]
    width: Required[Decimal]
    height: Required[Decimal]
    left: Decimal
    top: Decimal
    gap_x: Decimal
    gap_y: Decimal
    offset_x: Decimal
    offset_y: Decimal


@service(Act.GOODS, makes=LabelSheet)
def create(*, by: Person = None, request_key: str | None = None, **said: Unpack[Said]) -> LabelSheet:
    row = LabelSheet()
    _describe(row, **said)
    row.save()
    return row


@service(Act.GOODS)
def change(*, sheet: LabelSheet, by: Person = None, **said: Unpack[Said]) -> LabelSheet:
    row = LabelSheet.objects.select_for_update().get(pk=sheet.pk)
    _describe(row, **said)
    row.save()
    return row


@service(Act.GOODS)
def drop(*, sheet: LabelSheet, by: Person = None) -> None:
    """Nothing is printed by its row, so it may go."""
    LabelSheet.objects.filter(pk=sheet.pk).delete()


def _describe(row: LabelSheet, *, name: str, **said: object) -> None:
    name = checks.text(name, "The name of the sheet", field="name", longest=40, needed=True)
    if name.casefold() in RESERVED or rules.asked(name, "a4"):
        raise Refused(f"{name!r} is itself a way to say a sheet. Give it a name of its own.", field="name")
    if LabelSheet.objects.filter(name__iexact=name).exclude(pk=row.pk).exists():
        raise Taken("The sheet", name, field="name")
    found = rules.checked(Sheet(**said))  # type: ignore[arg-type]
    row.name = name
    for field in Sheet.__dataclass_fields__:
        setattr(row, field, getattr(found, field))
