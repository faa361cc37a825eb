"""Which materials are set aside on a day, and what of them presses all the same."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from inventory.foresight import selectors as foresight
from inventory.foresight.rules import State
from inventory.foresight.selectors import Outlook
from inventory.foresight.snoozes.models import Snooze


@dataclass(frozen=True)
class Told:
    """Materials about which something must be done: what is said of, and what is `aside` with its snooze."""

    pressing: tuple[Outlook, ...]
    aside: tuple[tuple[Outlook, Snooze], ...]


def standing(on: date) -> dict[int, Snooze]:
    """By material (id) what holds on a day. One query."""
    rows = Snooze.objects.filter(reversed_at__isnull=True, on__lte=on, until__gt=on)
    return {row.material_id: row for row in rows.order_by("pk")}


def apart(outlooks: Iterable[Outlook], on: date) -> Told:
    """The alerts among the outlooks, those set aside apart. Short for a batch is said whatever was set aside: by then it is no
    question of when to order any more."""
    alerts = [each for each in outlooks if each.forecast.alert]
    held = standing(on)
    hidden = {each.material.pk for each in alerts if each.forecast.state != State.SHORT} & held.keys()
    return Told(
        tuple(each for each in alerts if each.material.pk not in hidden),
        tuple((each, held[each.material.pk]) for each in alerts if each.material.pk in hidden),
    )


def alerts(on: date) -> Told:
    return apart(foresight.alerts(on), on)
