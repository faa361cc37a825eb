"""A whole count sheet: its differences looked at before anything is written, then posted together or not at all.

The writing itself is `services.ledger.count`, a posting for each material that differs. What agrees leaves no entry.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

from django.db import transaction
from django.db.models import Sum

from inventory.base import checks, services as entries
from inventory.base.models import Request
from inventory.base.services import service
from inventory.errors import Refused
from inventory.ledger import selectors as ledger_read, services as ledger
from inventory.ledger.costflow import Balance
from inventory.ledger.models import Posting
from inventory.materials.models import Material
from inventory.money import ZERO
from inventory.permits import Act, Person

ACT = "stocktake"
LOOK_AGAIN = "Look at the differences again."


@dataclass(frozen=True)
class Counted:
    """What was found of a material, in its base unit; `typed` as it was written on the sheet. A difference needs a reason."""

    material: Material
    quantity: Decimal
    typed: str = ""
    reason: str = ""


@dataclass(frozen=True)
class Difference:
    """A material that does not agree: counted less held, in its base unit, and what that is worth with its sign."""

    material: Material
    held: Decimal
    counted: Decimal
    value: Decimal

    @property
    def quantity(self) -> Decimal:
        return self.counted - self.held


@service(Act.GOODS)
def look(*, on: date, counted: Sequence[Counted], by: Person = None) -> list[Difference]:
    """What posting the sheet would write, valued as it would be written. Nothing is kept.

    It is really written and taken away again, so that what is shown is to the coin what is posted, and what would be
    refused is refused here.
    """
    differing = _differing(on, counted)
    with transaction.atomic():
        postings = [_post(on, each, by, "look", None) for each, _ in differing]
        worth = [posting.movements.aggregate(value=Sum("value"))["value"] or ZERO for posting in postings]
        transaction.set_rollback(True)
    return [
        Difference(each.material, held, each.quantity, value)
        for (each, held), value in zip(differing, worth, strict=True)
    ]


@service(Act.GOODS)
def post(
    *,
    on: date,
    counted: Sequence[Counted],
    seen: Mapping[int, Decimal],
    by: Person = None,
    request_key: str | None = None,
) -> list[Posting]:
    """Post every difference of the sheet. `seen` are the differences that were looked at, by material id.

    Where something moved since, so that a difference is another, nothing is posted. The same key twice answers with what
    the first call wrote.
    """
    if done := entries.find_existing(request_key, Posting, ACT):
        return _made(request_key, done)
    ledger.lock(each.material for each in counted)
    differing = _differing(on, counted)
    _refuse_moved(counted, {each.material.pk: each.quantity - held for each, held in differing}, seen)
    postings = []
    for each, _ in differing:
        what, field = f"The reason for {each.material.name}", entry("reason", each.material)
        reason = checks.text(each.reason, what, field=field, longest=200, needed=True)
        key = f"{request_key}/{each.material.pk}" if request_key else None
        postings.append(_post(on, each, by, reason, key))
    if not postings:
        entries.release(request_key)
        return []
    entries.remember(request_key, postings[0])
    return postings


def entry(said: Literal["count", "unit", "reason", "seen"], material: Material) -> str:
    """The name of the entry that says this of a material: its count and its unit, why it differs, by how much it was seen to."""
    return f"{said}_{material.pk}"


def _differing(on: date, counted: Sequence[Counted]) -> list[tuple[Counted, Decimal]]:
    """Each that does not agree, with what the books hold of it. Refuses an empty sheet and what cannot be."""
    checks.day(on)
    if not counted:
        raise Refused("Nothing was counted. Enter at least one amount; nothing there is 0.")
    ids = [each.material.pk for each in counted]
    for each in counted:
        field = entry("count", each.material)
        checks.not_negative(each.quantity, f"The count of {each.material.name}", field=field)
        if ids.count(each.material.pk) > 1:
            raise Refused(f"{each.material.name} is on the sheet twice. Add it up and enter it once.", field=field)
    balances = ledger_read.balances(on, [each.material for each in counted])
    found = [(each, balances.get(each.material.pk, Balance()).quantity) for each in counted]
    return [(each, held) for each, held in found if each.quantity != held]


def _refuse_moved(counted: Sequence[Counted], found: Mapping[int, Decimal], seen: Mapping[int, Decimal]) -> None:
    moved = [
        each.material.name for each in counted if found.get(each.material.pk, ZERO) != seen.get(each.material.pk, ZERO)
    ]
    if moved:
        raise Refused(f"{', '.join(moved)} moved in the books since the differences were shown. {LOOK_AGAIN}")


def _post(on: date, each: Counted, by: Person, reason: str, key: str | None) -> Posting:
    posting = ledger.count(
        on=on, material=each.material, counted=each.quantity, by=by, reason=reason, request_key=key, typed=each.typed
    )
    if posting is None:
        raise Refused(f"{each.material.name} moved in the books meanwhile. {LOOK_AGAIN}")
    return posting


def _made(request_key: str | None, first: Posting) -> list[Posting]:
    keys = Request.objects.filter(key__startswith=f"{request_key}/").values("made_pk")
    return list(Posting.objects.filter(pk__in=keys).order_by("pk")) or [first]
