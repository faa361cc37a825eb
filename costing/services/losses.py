"""A skin that slips or spoils: its cost stops on the day, and its stay in the batch ends."""

from __future__ import annotations

from datetime import date

from django.db import transaction

from costing.services import batches, late
from inventory.errors import Refused
from inventory.models import Skin
from inventory.services import checks, requests
from inventory.services import skins as skin_services
from inventory.services.permits import Act, Person, require


@transaction.atomic
def lose(*, skin: Skin, on: date, reason: str, by: Person = None, request_key: str | None = None) -> Skin:
    """Write a skin off as lost on a day. What it had borne until then is its loss; the others bear what comes after."""
    require(by, Act.SHED)
    if done := requests.earlier(request_key, Skin, "lose"):
        return done
    row = skin_services.lock([skin.tag])[0]
    checks.day(on)
    reason = checks.text(reason, "The reason", field="reason", longest=200, needed=True)
    if row.stage == Skin.Stage.LOST:
        raise Refused(f"{row.tag} was written off on {row.lost_on} already.", field="tag")
    if row.stage == Skin.Stage.FINISHED or row.parts.exists():
        raise Refused(
            f"{row.tag} is made into {row.parts.select_related('article')[0].article.number}; lose the article instead."
        )
    if on < row.date_in:
        raise Refused(f"{row.tag} came in on {row.date_in}; it cannot be lost before.", field="on")
    batches.refuse_named_after(row, on)
    skin_services.set_stage(row, Skin.Stage.LOST, lost_on=on, lost_reason=reason)
    for batch in batches.end_stays(row, on):
        late.refresh_batch(batch)
    return requests.keep(request_key, row)
