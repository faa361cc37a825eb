"""Places: made once, chosen from lists afterwards."""

from __future__ import annotations

from decimal import Decimal

from django.db import transaction

from inventory import units
from inventory.errors import Refused, Taken
from inventory.models import Place
from inventory.services import checks, requests
from inventory.services.permits import Act, Person, require

MOST_HELD = 1000


@transaction.atomic
def create(
    *,
    name: str,
    kind: str = Place.Kind.SHELF,
    litres: Decimal | None = None,
    holds: int = 1,
    by: Person = None,
    request_key: str | None = None,
) -> Place:
    """A new place. `litres`: what a tub holds to the brim; `holds`: how many batches a tub, or skins a set of frames, takes."""
    require(by, Act.GOODS)
    if done := requests.earlier(request_key, Place):
        return done
    name = checks.text(name, "The place", field="name", longest=60, needed=True)
    if kind not in Place.Kind.values:
        raise Refused(f"{kind!r} is no kind of place; choose one of {', '.join(Place.Kind.values)}.", field="kind")
    if Place.objects.filter(name=name).exists():
        raise Taken("The place", name, field="name")
    return requests.keep(
        request_key, Place.objects.create(name=name, kind=kind, litres=_millilitres(litres), holds=_some(holds))
    )


def _millilitres(litres: Decimal | None) -> Decimal | None:
    if litres is None:
        return None
    return units.to_base(checks.positive(litres, "The litres it holds", field="litres"), "L", "mL")


def _some(holds: int) -> int:
    if not 1 <= holds <= MOST_HELD:
        raise Refused(f"A place cannot hold {holds} at once. Enter 1 to {MOST_HELD}.", field="holds")
    return holds
