"""Keeps on each paper the day it was settled, so that what is open is found without reading what was settled long ago.

Called inside their transaction by every service that writes something that settles a paper, or takes that back.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from costing.sell.jobs.models import Job
from costing.sell.payments import selectors as payments
from costing.sell.sales.models import Sale

_AT_A_TIME = 500
_waiting: ContextVar[set[int] | None] = ContextVar("papers that wait to be settled", default=None)


def settle(*sales: Sale) -> None:
    """Work out anew from which day on nothing is left of these papers. A credit note settles its sale, and is never open itself."""
    found = {sale.pk for sale in sales}
    waiting = _waiting.get()
    if waiting is None:
        _keep(found)
    else:
        waiting |= found


def settle_job(job: Job) -> None:
    """Every paper that ever billed a job: its deposits are set off on them."""
    settle(*Sale.objects.filter(lines__job=job).exclude(kind=Sale.Kind.CREDIT))


@contextmanager
def once() -> Iterator[None]:
    """Within this block papers wait, and at its end each is settled once, however much was written of it."""
    if _waiting.get() is not None:
        yield
        return
    found: set[int] = set()
    token = _waiting.set(found)
    try:
        yield
    finally:
        _waiting.reset(token)
    _keep(found)


def _keep(papers: set[int]) -> None:
    """Locked before they are read: of two who write of one paper, the later sees what the earlier wrote."""
    ids = sorted(papers)
    for first in range(0, len(ids), _AT_A_TIME):
        rows = payments.settled().select_for_update(of=("self",)).filter(pk__in=ids[first : first + _AT_A_TIME])
        changed = []
        for sale in rows.exclude(kind=Sale.Kind.CREDIT).order_by("pk"):
            kept, sale.settled_on = sale.settled_on, payments.settled_on(sale)
            if sale.settled_on != kept:
                changed.append(sale)
        Sale.objects.bulk_update(changed, ["settled_on"])
