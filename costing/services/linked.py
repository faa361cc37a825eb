"""Taking an entry back by a linked one of the same size, the other way round: one way for money in, costs and hours.

Owns what is alike for all of them: who may, that it happens once, and on which day. What the linked entry says, and what
else stands in the way, is for the service of its noun.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TypeVar

from django.db import transaction

from costing.models import Expense, Payment, SideHours
from inventory.errors import Refused
from inventory.services import checks, requests
from inventory.services.permits import Act, Person, require

Entry = TypeVar("Entry", Payment, Expense, SideHours)


@transaction.atomic
def take_back(
    entry: Entry,
    mirrored: Callable[[Entry, date], Entry],
    *,
    already: str,
    on: date | None,
    by: Person,
    request_key: str | None,
) -> Entry:
    """`mirrored` answers the linked entry of a row and its day, not saved yet, or refuses. `already` is said the second time."""
    writer = require(by, Act.BOOKS)
    kind = type(entry)
    if done := requests.earlier(request_key, kind, "take back"):
        return done
    row = kind._default_manager.select_for_update(of=("self",)).get(pk=entry.pk)
    if row.reverses_id or kind._default_manager.filter(reverses=row).exists():
        raise Refused(already)
    back = mirrored(row, _day(row.on, on))
    back.reverses, back.written_by = row, writer
    back.save()
    return requests.keep(request_key, back)


def _day(happened: date, on: date | None) -> date:
    day = checks.day(on or happened)
    if day < happened:
        raise Refused(f"An entry of {happened} cannot be taken back on {day}, before it happened.", field="on")
    return day
