"""The job card from records: the customer's skin as it came, what was agreed, the terms of storage."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from costing.make.baths.chemistry import cautions
from costing.models import Job, Reading
from costing.sell.payments import selectors as moneys
from costing.sell.sales.invoices import selectors as invoices_selectors
from costing.sell.sales.terms import selectors as papers
from inventory.base import selectors as workshop
from workshop.papers.job_card import JobCard
from workshop.prints.bills import who
from workshop.prints.sizes import page_of

CAUTIONS = ("raw_hide", "gloves")


if TYPE_CHECKING:
    from workshop.papers.job_card import JobCard


def job_pdf(job: Job, sheet: str = "") -> bytes:
    from workshop.papers import job_card as paper

    return paper.render(job_card(job), page_of(sheet))


def job_card(job: Job) -> JobCard:
    """The card with the money of now; the words of risk are the kit's, those of storage follow the terms of now."""
    from workshop.papers import job_card as paper

    terms, row = papers.terms(), workshop.current()
    skin = job.skin
    stored = paper.storage(terms.storage_free_days, terms.storage_per_day, row.currency, workshop.places())
    return paper.JobCard(
        workshop=who(invoices_selectors.seller()),
        customer=who(invoices_selectors.buyer(job.customer)),
        number=job.number,
        taken_on=job.taken_on,
        tag=skin.tag,
        skin=", ".join(filter(None, (skin.species, skin.sex_age))),
        work=job.work,
        condition="; ".join(filter(None, (job.condition, skin.defects))),
        price=job.price,
        deposit=job.deposit,
        paid=moneys.deposit(job) or Decimal(0),
        currency=row.currency,
        ready_by=job.ready_by,
        photos=Reading.objects.filter(skin=skin, taken_back_at__isnull=True).exclude(photo="").count(),
        terms=(paper.RISK, stored),
        cautions=tuple(cautions.CAUTIONS[key].short for key in CAUTIONS),
        note=job.note,
        digits=workshop.places(),
    )
