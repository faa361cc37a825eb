"""A material is set aside until a day, and taken up again before it. Nothing is posted by either."""

from datetime import date

from django.contrib.auth.models import User
from django.utils import timezone

from inventory.base import checks, selectors as workshop
from inventory.base.services import service
from inventory.errors import Refused
from inventory.foresight.snoozes.models import Snooze
from inventory.materials.models import Material
from inventory.permits import Act, Person, author


@service(Act.GOODS, makes=Snooze)
def snooze(
    *,
    material: Material,
    until: date,
    reason: str,
    on: date | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> Snooze:
    """From `on`, today if not given, nothing is said of it until a day. What was said before of the same material ends."""
    begins = checks.day(on or workshop.today(), posts=False)
    checks.day(until, field="until", posts=False)
    if until <= begins:
        raise Refused(
            f"{until} is not after {begins}. Choose the day on which you want to hear of it again.", field="until"
        )
    reason = checks.text(reason, "The reason", field="reason", longest=200, needed=True)
    Material.objects.select_for_update().get(pk=material.pk)  # two at once would leave two that hold
    for row in Snooze.objects.filter(material=material, reversed_at__isnull=True, until__gt=begins):
        _end(row, author(by))
    return Snooze.objects.create(material=material, on=begins, until=until, reason=reason, written_by=author(by))


@service(Act.GOODS)
def wake(*, snooze: Snooze, by: Person = None) -> Snooze:
    """It is said again from now on."""
    row = Snooze.objects.select_for_update(of=("self",)).get(pk=snooze.pk)
    if row.reversed_at is not None:
        raise Refused("This is ended already: the material is shown again.")
    return _end(row, author(by))


def _end(row: Snooze, writer: User | None) -> Snooze:
    row.reversed_at, row.reverser = timezone.now(), writer
    row.save(update_fields=["reversed_at", "reverser"])
    return row
