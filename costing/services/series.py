"""Numbers of papers: one run for each kind, taken under a lock inside the transaction that uses the number."""

from __future__ import annotations

from django.db import transaction

from costing.models import Payment, Sale, Series
from costing.numbering import Series as Run
from inventory.errors import Refused
from inventory.services import checks
from inventory.services.permits import Act, Person, require

USUAL = {Series.Kind.SALE: "S-", Series.Kind.INVOICE: "INV-", Series.Kind.CREDIT: "CN-", Series.Kind.RECEIPT: "R-"}
MOST_DIGITS = 9


def take(kind: str) -> tuple[int, str]:
    """The next count of a series and how it is written. A refusal later in the transaction gives the number back."""
    row = _row(kind)
    row.last += 1
    row.save(update_fields=["last"])
    return row.last, Run(row.prefix, row.digits).write(row.last)


@transaction.atomic
def change(*, kind: str, prefix: str, digits: int = 3, by: Person = None) -> Series:
    """How a series is written, while it has no paper yet: afterwards its numbers would not follow each other."""
    require(by, Act.SETUP)
    if kind not in Series.Kind.values:
        raise Refused(f"There is no series {kind!r}; choose one of {', '.join(Series.Kind.values)}.", field="kind")
    prefix = checks.code(prefix, "The prefix", field="prefix", longest=8) if prefix else ""
    if not 1 <= digits <= MOST_DIGITS:
        raise Refused(f"A number has 1 to {MOST_DIGITS} digits; {digits} were given.", field="digits")
    row = _row(kind)
    if row.last and (prefix, digits) != (row.prefix, row.digits):
        used = Run(row.prefix, row.digits).write(row.last)
        raise Refused(f"{used} is issued already, so its series stays as it is written.", field="prefix")
    others = Series.objects.exclude(pk=row.pk).filter(prefix__iexact=prefix)
    if kind != Series.Kind.RECEIPT and others.exclude(kind=Series.Kind.RECEIPT).exists():
        raise Refused(f"Another series is written {prefix}; two papers would carry one number.", field="prefix")
    row.prefix, row.digits = prefix, digits
    row.save(update_fields=["prefix", "digits"])
    return row


def _row(kind: str) -> Series:
    """The series, locked; made when it is first used, counting on from papers that were loaded."""
    Series.objects.get_or_create(kind=kind, defaults={"prefix": USUAL[Series.Kind(kind)], "last": _used(kind)})
    return Series.objects.select_for_update().get(kind=kind)


def _used(kind: str) -> int:
    rows = Payment.objects.all() if kind == Series.Kind.RECEIPT else Sale.objects.filter(kind=kind)
    return rows.order_by("-sequence").values_list("sequence", flat=True).first() or 0
