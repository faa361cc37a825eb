"""The job card from records: the customer's skin as it came, what was agreed, the terms of storage."""

from decimal import Decimal

from costing.models import Job, Reading
from costing.sell.payments import selectors as payments
from costing.sell.sales.invoices import selectors as invoices
from costing.sell.sales.terms import selectors as terms_read
from inventory.base import selectors as workshop
from workshop.documents.records.invoices import party
from workshop.documents.shed.job_card import JobCard
from workshop.documents.words import selectors as words_read, species


def job_card(job: Job, language: str = "", *, due: bool = True) -> JobCard:
    """The card with the money of now; what storage costs follows the terms of now. `due`: with what was paid and is due, which is
    told only to who reads money."""
    terms, row = terms_read.terms(), workshop.current()
    words = words_read.for_customer(job.customer, language)
    skin, sums = job.skin, payments.comes_to(job)
    return JobCard(
        workshop=party(invoices.seller()),
        customer=party(invoices.buyer(job.customer)),
        number=job.number,
        received_on=job.taken_on,
        tag=skin.tag,
        skin=", ".join(filter(None, (species.trade_name(skin.species, words), skin.sex_age))),
        work=job.work,
        condition="; ".join(filter(None, (job.condition, skin.defects))),
        price=job.price,
        deposit=job.deposit,
        paid=(payments.deposit(job) or Decimal(0)) if due else None,
        currency=row.currency,
        ready_by=job.ready_by,
        photos=Reading.objects.filter(skin=skin, reversed_at__isnull=True).exclude(photo="").count(),
        storage_free_days=terms.storage_free_days,
        storage_per_day=terms.storage_per_day,
        note=job.note,
        digits=workshop.places(),
        tax=sums.pays - sums.typed,
        words=words,
    )
