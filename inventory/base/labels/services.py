"""Keeping the maker's sheets of labels, and what the printer needs to hit them.

All of it is the owner's (`Act.SETUP`), the offset too: sheets are kept in Setup, every label of everybody is printed by them,
and a wrong figure shows only on a spoiled sheet. Who prints chooses among them and needs no permit for that.
"""

from decimal import Decimal
from typing import Required, TypedDict, Unpack

from inventory.base import checks
from inventory.base.labels import rules, selectors
from inventory.base.labels.models import LabelSheet
from inventory.base.labels.rules import Sheet
from inventory.base.services import service
from inventory.errors import Refused, Taken
from inventory.permits import Act, Person

RESERVED = (*rules.PAPERS, "own")


class ChangedMeanwhile(Refused):
    """The sheet is no longer as it was when the page was opened; what is sent would undo what somebody else did."""


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


@service(Act.SETUP, makes=LabelSheet)
def create(*, by: Person = None, request_key: str | None = None, **said: Unpack[Said]) -> LabelSheet:
    row = LabelSheet()
    _describe(row, **said)
    row.save()
    return row


@service(Act.SETUP)
def change(*, sheet: LabelSheet, seen: str = "", by: Person = None, **said: Unpack[Said]) -> LabelSheet:
    """Say it better. `seen`: the sheet as the page showed it (`LabelSheet.seen`); refused where it is another by now, unless what
    is said stands there already.
    """
    row = _locked(sheet)
    before, old = row.seen, row.sheet
    _describe(row, **said)
    if seen not in ("", before) and row.seen != before:
        now = ", ".join(f"{name.replace('_', ' ')} {value}" for name, value in _shown(old))
        raise ChangedMeanwhile(
            f"This sheet was changed since you opened it. It has now: {now}. Save once more to put yours in its place, or cancel."
        )
    row.save()
    return row


@service(Act.SETUP, makes=LabelSheet)
def calibrate(
    *,
    sheet: LabelSheet,
    right: Decimal,
    low: Decimal,
    seen: str = "",
    by: Person = None,
    request_key: str | None = None,
) -> LabelSheet:
    """Keep what was measured on a calibration page: its outlines are so many mm too far right and too low, less than nothing
    for too far left and too high (`rules.calibrated`). `seen` as in `change`: a page printed with another offset tells nothing.
    """
    row = _locked(sheet)
    if seen not in ("", row.seen):
        raise ChangedMeanwhile(
            "This sheet was changed since you opened it, so what you measured is of another page. Print the calibration page "
            "again and measure that."
        )
    found = rules.calibrated(row.sheet, right, low, selectors.ruler())
    row.offset_x, row.offset_y = found.offset_x, found.offset_y
    row.save()
    return row


@service(Act.SETUP)
def drop(*, sheet: LabelSheet, by: Person = None) -> None:
    """Nothing is printed by its row, so it may go."""
    _locked(sheet).delete()


def _locked(sheet: LabelSheet) -> LabelSheet:
    row = LabelSheet.objects.select_for_update().filter(pk=sheet.pk).first()
    if row is None:
        raise Refused(f"{sheet.name} is gone: somebody deleted it. Open the label sheets again.")
    return row


def _shown(sheet: Sheet) -> list[tuple[str, object]]:
    """What it has, without what is nothing."""
    ruler = selectors.ruler()
    every = ((name, getattr(sheet, name)) for name in Sheet.__dataclass_fields__)
    return [(name, ruler.told(value) if isinstance(value, Decimal) else value) for name, value in every if value]


def _describe(row: LabelSheet, *, name: str, **said: object) -> None:
    name = checks.text(name, "The name of the sheet", field="name", longest=40, needed=True)
    if name.casefold() in RESERVED or rules.asked(name, "a4"):
        raise Refused(f"{name!r} is itself a way to say a sheet. Give it a name of its own.", field="name")
    common = {each.casefold() for each in rules.COMMON}
    if name.casefold() in common or LabelSheet.objects.filter(name__iexact=name).exclude(pk=row.pk).exists():
        raise Taken("The sheet", name, field="name")
    found = rules.checked(Sheet(**said), selectors.ruler())  # type: ignore[arg-type]
    row.name = name
    for field in Sheet.__dataclass_fields__:
        setattr(row, field, getattr(found, field))
