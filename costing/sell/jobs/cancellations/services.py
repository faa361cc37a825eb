"""A job that ends undone: the customer takes the skin home as it is, or what is left of it after it was lost.

Calls the services that own skin, place, paper and money, inside one transaction. No money of the customer's stays behind: it
is paid back, or what is kept of it is billed by an ordinary paper.
"""

from datetime import date
from decimal import Decimal

from django.contrib.auth.models import User
from django.db import transaction

from costing.make.losses import services as losses
from costing.sell.jobs import services as jobs
from costing.sell.jobs.models import Job
from costing.sell.payments import selectors as payments_read, services as payments
from costing.sell.payments.services import Paid
from costing.sell.sales import services as sales
from costing.sell.sales.models import Sale
from costing.sell.sales.offers.services import Item
from inventory.base import checks
from inventory.base.checks import coins
from inventory.base.selectors import coins as said
from inventory.base.services import service
from inventory.errors import Refused
from inventory.models import Skin
from inventory.money import ZERO
from inventory.permits import Act, Person, author
from inventory.places.moves import selectors as moves_read, services as moves
from inventory.skins import services as skins


@service(Act.PRICES, makes=Job)
def cancel(
    *,
    job: Job,
    on: date,
    reason: str,
    kept: Decimal = ZERO,
    relief: str = "",
    paper: str = Sale.Kind.INVOICE,
    refund: Paid | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> Job:
    """The work ends on a day. A skin that is still here goes home that day and takes no cost after it.

    `kept` is billed for the work so far, by a `paper` of that kind, without tax where `relief` says why; what was paid before is
    set off against it. `refund` is
    what is paid back; one without an amount pays back all that is then the customer's.
    """
    writer = author(by)
    checks.day(on)
    reason = checks.text(reason, "The reason", field="reason", longest=200, needed=True)
    checks.not_negative(coins(kept, "What is kept", field="kept"), "What is kept", field="kept")
    skin = skins.lock([job.skin.tag])[0]
    _refuse_unfit(job, skin, on)
    back = skin.lost_on is None
    if back:
        losses.lose(skin=skin, on=on, reason=reason, step="", by=by)
        if skin.place is not None:
            moves.shift(thing=skin, to=None, on=on, note=job.number, writer=writer)
    _write(job, on, reason, back=back)
    bill = None
    if kept:
        item = Item("work", kept, job=job, relief=relief)
        bill = sales.sell(on=on, kind=paper, customer=job.customer, items=[item], by=by)
    if refund is not None:
        _pay_back(job, bill, refund, on, writer)
    _refuse_held(job, bill)
    return job


@transaction.atomic
def take_over(*, job: Job, on: date, reason: str, back: bool) -> Job:
    """A job that was cancelled before it came here. Its skin is gone already; its bill and its money come after it."""
    checks.day(on, field="given_up_on")
    reason = checks.text(reason, "The reason", field="reason", longest=200, needed=True)
    skin = skins.lock([job.skin.tag])[0]
    _refuse_unfit(job, skin, on)
    if skin.lost_on is None or (back and skin.lost_on != on):
        raise Refused(
            f"{skin.tag} did not leave on {on}. A job that was cancelled has its skin in losses.csv"
            f"{', on the same day where it was given back' if back else ''}.",
            field="given_up_on",
        )
    _write(job, on, reason, back=back)
    return job


@service(Act.PRICES, makes=Job)
def reopen(*, job: Job, by: Person = None, request_key: str | None = None) -> Job:
    """It was cancelled by mistake: the skin is here again, in its batch, as if nothing had been. Only while nothing followed."""
    skin = skins.lock([job.skin.tag])[0]
    job.refresh_from_db(from_queryset=Job.objects.select_for_update())
    if job.given_up_on is None:
        raise Refused(f"{job.number} is not cancelled.")
    if bill := payments_read.billed_by(job):
        raise Refused(f"{bill.number} bills the work on {job.number} until it was cancelled. Credit it first.")
    checks.day(job.given_up_on)
    on, back = job.given_up_on, job.given_back
    _write(job, None, "", back=False)
    if back:
        losses.reverse(skin=skin, by=by)
        last = moves_read.of(skin).last()
        # Where it stood before it went home, unless its trail went on since.
        if last is not None and (last.to, last.on, last.note) == (None, on, job.number):
            moves.reverse(move=last, by=by)
    return job


def _refuse_unfit(job: Job, skin: Skin, on: date) -> None:
    jobs.refuse_ended(job)
    if on < job.taken_on:
        raise Refused(f"{job.number} was taken on {job.taken_on}, after {on}. Check the day.", field="on")
    if skin.parts.exists():
        raise Refused(
            f"{skin.tag} is finished. Hand it over and bill it; a discount on the bill takes off what you let go.",
            field="on",
        )
    if skin.lost_on is not None and on < skin.lost_on:
        raise Refused(f"{skin.tag} was lost on {skin.lost_on}, after {on}. Check the day.", field="on")


def _write(job: Job, on: date | None, reason: str, *, back: bool) -> None:
    job.given_up_on, job.given_up_why, job.given_back = on, reason, back
    job.save(update_fields=["given_up_on", "given_up_why", "given_back"])


def _pay_back(job: Job, bill: Sale | None, refund: Paid, on: date, writer: User | None) -> None:
    day = refund.on or on
    due = payments_read.deposit(job) if bill is None else payments_read.owed_back(bill, day)
    amount = due if refund.amount is None else refund.amount
    if amount:
        of = None if bill else job
        payments.write(sale=bill, job=of, amount=amount, on=day, how=refund.how, back=True, writer=writer)


def _refuse_held(job: Job, bill: Sale | None) -> None:
    held = (
        payments_read.deposit(job)
        if bill is None
        else payments_read.balance(payments_read.settled().get(pk=bill.pk), date.max).overpaid
    )
    if held:
        raise Refused(
            f"{said(held)} of {job.customer}'s money would stay here. Pay it back, or bill what you keep of it.",
            field="amount",
        )
