"""Jobs: work agreed on a customer's own skin, from taking it in to handing it over.

The hand-over itself is the sale of the work (`selling.sell`), so that no skin leaves without its paper.
"""

from datetime import date
from decimal import Decimal
from typing import Required, TypedDict, Unpack

from django.db import IntegrityError, transaction

from costing.make.finishing import services as finishing
from costing.sell.customers.models import Customer
from costing.sell.jobs.models import Job
from costing.sell.payments import selectors as payments
from inventory.base import checks
from inventory.base.checks import coins
from inventory.base.selectors import coins as said
from inventory.base.services import service
from inventory.errors import Refused, Taken
from inventory.models import Skin
from inventory.money import ZERO
from inventory.permits import Act, Person
from inventory.skins import services as skins


class Agreed(TypedDict, total=False):
    """What is agreed. `condition` is what was seen on the skin; `deposit` is what is asked before the work begins."""

    work: Required[str]
    price: Required[Decimal]
    deposit: Decimal
    condition: str
    ready_by: date | None
    note: str


@service(Act.PRICES, makes=Job)
def take(
    *,
    number: str,
    customer: Customer,
    skin: Skin,
    taken_on: date,
    by: Person = None,
    request_key: str | None = None,
    **agreed: Unpack[Agreed],
) -> Job:
    """Agree on work. The skin must be a customer's: the maker's own is no job."""
    number = checks.new_code(number, "The job number", Job, field="number")
    row = skins.lock([skin.tag])[0]
    if not row.theirs:
        raise Refused(f"{row.tag} is your own; a job is work on a customer's skin.", field="skin")
    other = Job.objects.filter(skin=row).first()
    if other:
        raise Refused(f"{row.tag} belongs to {other.number} already.", field="skin")
    checks.day(taken_on, field="taken_on", posts=False)
    if taken_on < row.date_in:
        raise Refused(f"{row.tag} came in on {row.date_in}, after {taken_on}. Check the day.", field="taken_on")
    if row.lost_on is not None and row.lost_on < taken_on:
        raise Refused(f"{row.tag} was lost on {row.lost_on}; no work can be agreed on it after.", field="skin")
    job = Job(number=number, customer=customer, skin=row, taken_on=taken_on)
    _describe(job, **agreed)
    try:
        with transaction.atomic():
            job.save()
    except IntegrityError:
        # Two who took a job at once were both told that the number is free.
        raise Taken("The job number", number, field="number") from None
    finishing.refuse_joined(row, field="customer")
    return job


@service(Act.PRICES)
def change(*, job: Job, by: Person = None, **agreed: Unpack[Agreed]) -> Job:
    """What was agreed, put right while the skin is still here. No price below what is paid towards it already."""
    refuse_ended(job)
    _describe(job, **agreed)
    paid = payments.deposit(job)
    if (most := payments.comes_to(job).pays) < paid:
        raise Refused(
            f"{said(paid)} is paid towards {job.number} already, more than a price of {said(most)}. "
            "Pay the rest back first.",
            field="price",
        )
    job.save()
    return job


@service(Act.SHED)
def ready(*, job: Job, on: date, by: Person = None) -> Job:
    """The customer was told that it is ready: from here the free days of storage run. Said again, the new day counts."""
    refuse_ended(job)
    checks.day(on, posts=False)
    if job.skin.stage != Skin.Stage.FINISHED:
        raise Refused(f"{job.skin.tag} is not finished yet. Finish it, then tell the customer.", field="on")
    done = max((part.article.finished_on for part in job.skin.parts.select_related("article")), default=job.taken_on)
    if on < done:
        raise Refused(f"{job.skin.tag} was finished on {done}, after {on}. Check the day.", field="on")
    job.ready_on = on
    job.save(update_fields=["ready_on"])
    return job


def refuse_ended(job: Job) -> None:
    """For services, inside their transaction: the job, locked, is neither handed over nor cancelled."""
    job.refresh_from_db(from_queryset=Job.objects.select_for_update())
    if job.handed_over_on is not None:
        raise Refused(f"{job.number} was handed over on {job.handed_over_on}. Credit its invoice to change it.")
    if job.given_up_on is not None:
        raise Refused(f"{job.number} was cancelled on {job.given_up_on} already. Reopen it first.")


def _describe(
    job: Job,
    *,
    work: str,
    price: Decimal,
    deposit: Decimal = ZERO,
    condition: str = "",
    ready_by: date | None = None,
    note: str = "",
) -> None:
    job.work = checks.text(work, "The work", field="work", longest=200, needed=True)
    job.condition = checks.text(condition, "The condition", field="condition", longest=500)
    job.note = checks.text(note, "The note", field="note", longest=200)
    job.price = coins(price, "The price", field="price")
    job.deposit = coins(deposit, "The deposit", field="deposit")
    if deposit > price:
        raise Refused(f"A deposit of {said(deposit)} is more than the price of {said(price)}.", field="deposit")
    if ready_by is not None:
        checks.day(ready_by, field="ready_by", plan=True, posts=False)
        if ready_by < job.taken_on:
            raise Refused(f"It cannot be ready on {ready_by}, before it was taken on {job.taken_on}.", field="ready_by")
    job.ready_by = ready_by
