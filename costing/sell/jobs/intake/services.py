"""Taking a job in one go, as it is done at the door or on the phone: the customer, the skin, what was seen, the work, money.

Calls the services that own each of them, inside one transaction: either all of it is written or nothing.
"""

from datetime import date, datetime, time
from decimal import Decimal
from typing import Unpack

from django.utils import timezone

from costing.make.readings import services as readings
from costing.sell.customers import services as customers
from costing.sell.jobs import services as jobs
from costing.sell.jobs.models import Job
from costing.sell.payments import services as payments
from inventory.base.services import service
from inventory.models import Skin
from inventory.permits import Act, Person
from inventory.skins import services as skins

NOON = time(12)


@service(Act.PRICES, makes=Job)
def take(
    *,
    number: str,
    customer: str,
    skin: Skin | tuple[str, skins.Details],
    taken_on: date,
    postal_address: str = "",
    electronic_address: str = "",
    amount: Decimal | None = None,
    how: str = "cash",
    photo: bytes | None = None,
    by: Person = None,
    request_key: str | None = None,
    **agreed: Unpack[jobs.Agreed],
) -> Job:
    """Take the job for a customer by name, known or new: `skin` is here, or it comes in now, by its tag and what it is.

    `amount` is money that came at once, a deposit; the `photo` is of the condition.
    """
    who = customers.named(name=customer, postal_address=postal_address, electronic_address=electronic_address, by=by)
    row = skin if isinstance(skin, Skin) else skins.take_in(tag=skin[0], details=skin[1], by=by)
    job = jobs.take(number=number, customer=who, skin=row, taken_on=taken_on, by=by, **agreed)
    if amount:
        payments.receive(job=job, amount=amount, how=how, on=taken_on, by=by)
    if job.condition or photo is not None:
        # Last, because a photo is a file and no transaction takes it back.
        readings.note(tags=[row.tag], at=_moment(taken_on), note=job.condition, photo=photo, by=by)
    return job


def _moment(on: date) -> datetime | None:
    """Now for a job of today; one of an earlier day was seen at its noon. A day ahead cannot have been seen: now."""
    if on >= timezone.localdate():
        return None
    return timezone.make_aware(datetime.combine(on, NOON))
