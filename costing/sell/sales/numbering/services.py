"""Numbers of papers: one run for each kind, taken under a lock inside the transaction that uses the number."""

from collections.abc import Mapping, Sequence
from itertools import combinations

from costing.sell.payments.models import Payment
from costing.sell.sales.models import Sale, Series
from costing.sell.sales.numbering.rules import NumberRefused, Series as Run
from inventory.base import checks
from inventory.base.services import service
from inventory.errors import Refused
from inventory.permits import Act, Person

USUAL = {Series.Kind.SALE: "S-", Series.Kind.INVOICE: "INV-", Series.Kind.CREDIT: "CN-", Series.Kind.RECEIPT: "R-"}
DIGITS, MOST_DIGITS = 3, 9


def take(kind: str) -> tuple[int, str]:
    """The next count of a series and how it is written. A refusal later in the transaction gives the number back."""
    row = _row(kind)
    row.last += 1
    row.save(update_fields=["last"])
    return row.last, Run(row.prefix, row.digits).write(row.last)


@service(Act.SETUP)
def change_all(*, written: Mapping[str, tuple[str, int]], by: Person = None) -> dict[str, Series]:
    """How series are written (kind: prefix, least digits), each while it has no paper yet: afterwards its numbers would not
    follow each other. They are judged together, so that two can change places. A refusal names `sale_prefix` and the like."""
    for kind in written:
        if kind not in Series.Kind.values:
            raise Refused(f"There is no series {kind!r}; choose one of {', '.join(Series.Kind.values)}.", field="kind")
    there = {*written, *Series.objects.values_list("kind", flat=True)}
    # Locked in the order in which a sale takes them: its own series, then that of receipts.
    rows = {kind: _row(kind) if kind in there else usual(kind) for kind in Series.Kind.values}
    for kind, (prefix, digits) in written.items():
        _write(rows[kind], prefix, digits)
    _refuse_mixed([row for kind, row in rows.items() if kind != Series.Kind.RECEIPT], list(written))
    for kind in written:
        rows[kind].save(update_fields=["prefix", "digits"])
    return rows


@service(Act.SETUP)
def begin(*, at: Mapping[str, int], by: Person = None) -> None:
    """Which number each series (by its kind) begins with, where older books gave those before it; until its first paper."""
    for kind, count in at.items():
        if kind not in Series.Kind.values:
            raise Refused(f"There is no series {kind!r}; choose one of {', '.join(Series.Kind.values)}.", field="kind")
        row, field = _row(kind), f"{kind}_next"
        if not 1 <= count < 10**MOST_DIGITS:
            raise Refused(f"The next number is 1 to {10**MOST_DIGITS - 1}; {count} was given.", field=field)
        if count == row.last + 1:
            continue
        run = Run(row.prefix, row.digits)
        if row.last >= row.first:
            raise Refused(
                f"{run.write(row.last)} is issued already, so {run.write(row.last + 1)} is the next of its series.",
                field=field,
            )
        _refuse_given(run, count, field)
        row.first, row.last = count, count - 1
        row.save(update_fields=["first", "last"])


def _refuse_given(run: Run, count: int, field: str) -> None:
    """An unpaid invoice of the old books has a number that the series would give again."""
    for number in Sale.objects.filter(kind=Sale.Kind.OPENING).values_list("number", flat=True):
        if counted(run, number) >= count:
            raise Refused(
                f"{number} is an invoice of the old books; begin after it, at {counted(run, number) + 1} or later.",
                field=field,
            )


def counted(run: Run, number: str) -> int:
    """The count of a number in a series, 0 where the series would not write it."""
    try:
        return run.read(number)
    except NumberRefused:
        return 0


def _write(row: Series, prefix: str, digits: int) -> None:
    field = f"{row.kind}_prefix"
    prefix = checks.code(prefix, "The prefix", field=field, longest=8) if prefix else ""
    if not 1 <= digits <= MOST_DIGITS:
        raise Refused(f"A number has 1 to {MOST_DIGITS} digits; {digits} were given.", field=f"{row.kind}_digits")
    if row.last >= row.first and (prefix, digits) != (row.prefix, row.digits):
        used = Run(row.prefix, row.digits).write(row.last)
        raise Refused(f"{used} is issued already, so its series stays as it is written.", field=field)
    row.prefix, row.digits = prefix, digits


def _refuse_mixed(rows: Sequence[Series], changed: Sequence[str]) -> None:
    """No two kinds of paper may ever write one number: not by one prefix, nor by one that goes on in the other's figures."""
    for one, other in combinations(sorted(rows, key=lambda row: len(row.prefix)), 2):
        rest = other.prefix.lower().removeprefix(one.prefix.lower())
        if len(rest) == len(other.prefix) - len(one.prefix) and (not rest or rest.isdigit()):
            kind = other.kind if other.kind in changed else one.kind
            raise Refused(
                f"{one.get_kind_display()} begins {one.prefix or 'with figures'} and {other.get_kind_display().lower()} "
                f"{other.prefix or 'with figures'}, so two papers could carry one number. "
                "Choose another prefix.",
                field=f"{kind}_prefix",
            )


def usual(kind: str) -> Series:
    """A series that nobody used or set yet, as it would be written (not saved)."""
    return Series(kind=kind, prefix=USUAL[Series.Kind(kind)], digits=DIGITS)


def _row(kind: str) -> Series:
    """The series, locked; made when it is first used, counting on from papers that were loaded."""
    locked = Series.objects.select_for_update().filter(kind=kind)
    if row := locked.first():
        return row
    Series.objects.get_or_create(kind=kind, defaults={"prefix": USUAL[Series.Kind(kind)], "last": _used(kind)})
    return locked.get()


def _used(kind: str) -> int:
    rows = Payment.objects.all() if kind == Series.Kind.RECEIPT else Sale.objects.filter(kind=kind)
    return rows.order_by("-sequence").values_list("sequence", flat=True).first() or 0
