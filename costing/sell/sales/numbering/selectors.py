"""Whether a paper's day fits the run of numbers that it joins."""

from datetime import date

from costing.sell.sales.models import Sale
from inventory import formats

_NAMED = {str(Sale.Kind.INVOICE): "invoice", str(Sale.Kind.CREDIT): "credit note"}


def odd_day(kind: str, on: date) -> str | None:
    """What is asked of an invoice or a credit note that is dated before one with an earlier number; None where none is.

    The numbers of these have to run on in time: who audits them asks why one does not. Over the counter nobody does.
    """
    if kind not in _NAMED:
        return None
    later = Sale.objects.filter(kind=kind, issued_on__gt=on).order_by("-issued_on", "-sequence").first()
    if later is None:
        return None
    issued = later.issued_on
    return (
        f"This {_NAMED[kind]} would be of {formats.day(on, full=True)} and get the number after {later.number}, which is of "
        f"{formats.day(issued, full=True)}: numbers and days would not run together, and you may be asked why."
    )
