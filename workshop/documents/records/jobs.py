"""The job card from records: the customer's skin as it came, what was agreed, the terms of storage."""

from decimal import Decimal

from costing.make.baths.chemistry import cautions
from costing.models import Job, Reading
from costing.sell.payments import selectors as payments
from costing.sell.sales.invoices import selectors as invoices
from costing.sell.sales.terms import selectors as terms_read
from inventory.base import selectors as workshop
from workshop.documents.records.invoices import party
from workshop.documents.shed.job_card import RISK, JobCard, storage

CAUTIONS = ("raw_hide", "gloves")


def job_card(job: Job) -> JobCard:
    """The card with the money of now; the words of risk are the kit's, those of storage follow the terms of now."""
    terms, row = terms_read.terms(), workshop.current()
    skin, sums = job.skin, payments.comes_to(job)
    stored = storage(terms.storage_free_days, terms.storage_per_day, row.currency)
    return JobCard(
        workshop=party(invoices.seller()),
        customer=party(invoices.buyer(job.customer)),
        number=job.number,
        received_on=job.taken_on,
        tag=skin.tag,
        skin=", ".join(filter(None, (skin.species, skin.sex_age))),
        work=job.work,
        condition="; ".join(filter(None, (job.condition, skin.defects))),
        price=job.price,
        deposit=job.deposit,
        paid=payments.deposit(job) or Decimal(0),
        currency=row.currency,
        ready_by=job.ready_by,
        photos=Reading.objects.filter(skin=skin, reversed_at__isnull=True).exclude(photo="").count(),
        terms=(RISK, stored),
        cautions=tuple(cautions.CAUTIONS[key].short for key in CAUTIONS),
        note=job.note,
        digits=workshop.places(),
        tax=sums.pays - sums.typed,
    )
