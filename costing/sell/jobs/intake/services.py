"""Taking a job in one go, as it is done at the door or on the phone: the customer, the skin, what was seen, the work, money.

Calls the services that own each of them, inside one transaction: either all of it is written or nothing.
"""

from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal

from django.utils import timezone

from costing.make.readings import services as readings
from costing.sell.customers import services as customers
from costing.sell.jobs import services as jobs
from costing.sell.jobs.models import Job
from costing.sell.payments import services as payments
from costing.sell.payments.services import Paid
from inventory.base.services import service
from inventory.models import Skin
from inventory.permits import Act, Person
from inventory.skins import services as skins

NOON = time(12)


@dataclass(frozen=True)
class Who:
    """A customer by name, known or new; what is given beside the name fills in or replaces what is known."""

    name: str
    postal_address: str = ""
    electronic_address: str = ""


@dataclass(frozen=True)
class Brought:
    """A skin that comes in with the job. Its owner is the customer, so it has no price."""

    tag: str
    details: skins.Details


@dataclass(frozen=True)
class Agreed:
    """What was agreed. `condition` is what was seen on the skin, with a `photo` of it."""

    work: str
    price: Decimal
    deposit: Decimal = Decimal(0)
    condition: str = ""
    photo: bytes | None = None
    ready_by: date | None = None
    note: str = ""


@service(Act.PRICES, makes=Job)
def take(
    *,
    number: str,
    who: Who,
    skin: Skin | Brought,
    agreed: Agreed,
    on: date,
    received: Paid | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> Job:
    """Take the job. `received` is money that came at once, a deposit; without an amount it is the deposit agreed."""
    customer = customers.named(
        name=who.name, postal_address=who.postal_address, electronic_address=who.electronic_address, by=by
    )
    row = skins.take_in(tag=skin.tag, details=skin.details, by=by) if isinstance(skin, Brought) else skin
    job = jobs.take(
        number=number,
        customer=customer,
        skin=row,
        work=agreed.work,
        price=agreed.price,
        deposit=agreed.deposit,
        taken_on=on,
        condition=agreed.condition,
        ready_by=agreed.ready_by,
        note=agreed.note,
        by=by,
    )
    if received is not None:
        amount = agreed.deposit if received.amount is None else received.amount
        payments.receive(job=job, amount=amount, how=received.how, on=received.on or on, by=by)
    if agreed.condition.strip() or agreed.photo is not None:
        # Last, because a photo is a file and no transaction takes it back.
        readings.note(tags=[row.tag], at=_moment(on), note=agreed.condition, photo=agreed.photo, by=by)
    return job


def _moment(on: date) -> datetime | None:
    """Now for a job of today; one of an earlier day was seen at its noon. A day ahead cannot have been seen: now."""
    if on >= timezone.localdate():
        return None
    return timezone.make_aware(datetime.combine(on, NOON))
