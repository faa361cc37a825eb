"""Places: made once, chosen from lists afterwards."""

from __future__ import annotations

from django.db import transaction

from inventory.errors import Refused, Taken
from inventory.models import Place
from inventory.services import checks, requests
from inventory.services.permits import Act, Person, require


@transaction.atomic
def create(*, name: str, kind: str = Place.Kind.SHELF, by: Person = None, request_key: str | None = None) -> Place:
    require(by, Act.GOODS)
    if done := requests.earlier(request_key, Place):
        return done
    name = checks.text(name, "The place", field="name", longest=60, needed=True)
    if kind not in Place.Kind.values:
        raise Refused(f"{kind!r} is no kind of place; choose one of {', '.join(Place.Kind.values)}.", field="kind")
    if Place.objects.filter(name=name).exists():
        raise Taken("The place", name, field="name")
    return requests.keep(request_key, Place.objects.create(name=name, kind=kind))
