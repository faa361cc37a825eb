"""How all money stood at the end of a day: what had come, what is owed, what is held for others. Tax is left out.

Worked out paper by paper and rounded once a paper, so that what came and what is owed always make up what was sold. Papers that
were settled long before are summed by the database: `Sale.settled_on`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Q, QuerySet, Sum

from costing.sell.debts.write_offs.models import WriteOff
from costing.sell.expenses.models import Expense
from costing.sell.payments import rules, selectors as payments
from costing.sell.payments.models import Payment
from costing.sell.sales.models import Sale
from inventory.base import selectors as workshop
from inventory.money import ZERO, half_up


@dataclass(frozen=True)
class Cash:
    """Up to the end of a day. `received` counts deposits in full but for tax that fell due with them, and the rest without tax,
    with what payers withheld.

    `owed` is what buyers owe, less what is owed back to them, without tax. `held` is a debt: deposits on work not handed
    over, and money paid for a sale before its day. `lost` is what was written off as bad debt, without tax.
    """

    received: Decimal
    owed: Decimal
    held: Decimal
    lost: Decimal = ZERO


def at(*days: date) -> list[Cash]:
    """How it stood at the end of each of the days."""
    since, until, places = min(days), max(days), workshop.places()
    closed, papers = _closed(since, places), list(_open(since, until))
    return [_at(closed, papers, held, day, places) for day, held in zip(days, payments.held(*days), strict=True)]


def _closed(day: date, places: int) -> Decimal:
    """What came for papers that were paid for good by the end of a day: their amount without tax, with their credits."""
    paid = Sale.objects.filter(settled_on__lte=day).exclude(pk__in=_lost())
    both = Sale.objects.filter(Q(pk__in=paid.values("pk")) | Q(credits__in=paid.values("pk")))
    return half_up(both.aggregate(total=Sum("net"))["total"] or ZERO, places)


def _open(since: date, until: date) -> QuerySet[Sale]:
    """All others that were there by the last day, or for which money came by then, before their own."""
    early = Payment.objects.filter(on__lte=until, sale__on__gt=until).values("sale")
    kept = Expense.objects.filter(withheld=True, on__lte=until, sale__on__gt=until).values("sale")
    there = Q(on__lte=until) | Q(kind=Sale.Kind.OPENING) | Q(pk__in=early) | Q(pk__in=kept)
    rows = payments.settled().exclude(kind=Sale.Kind.CREDIT).filter(there)
    return rows.exclude(~Q(pk__in=_lost()), settled_on__lte=since)


def _lost() -> QuerySet[WriteOff, int]:
    """Papers of which a part was once written off: what came for them is not what they come to."""
    return WriteOff.objects.order_by().values_list("sale", flat=True)


def _at(closed: Decimal, papers: Iterable[Sale], held: Iterable[Payment], day: date, places: int) -> Cash:
    deposits = sum((_without_tax(row, places) for row in held), ZERO)
    received, owed, early, lost = deposits + closed, ZERO, ZERO, ZERO
    for paper in papers:
        paid = sum((row.amount for row in payments.settlements(paper) if row.on <= day), ZERO)
        if paper.on > day and paper.kind != Sale.Kind.OPENING:  # which was owed before these books began
            early += paid
            continue
        net, gross = _stands(paper, day)
        own = _own_part(paper, net, gross)
        mine = half_up(Fraction(paid) * own, places)
        given_up = sum((row.amount for row in paper.write_offs.all() if row.on <= day), ZERO)
        # Rounded together with what was paid, so that nothing is left owed of a paper that is settled.
        bad = half_up(Fraction(paid + given_up) * own, places) - mine if given_up else ZERO
        received += mine
        lost += bad
        owed += net - mine - bad
    return Cash(received + early, owed, deposits + early, lost)


def _without_tax(row: Payment, places: int) -> Decimal:
    return rules.deposit_taxed(row.amount, row.tax_percent, places).net if row.tax_percent else row.amount


def _stands(paper: Sale, day: date) -> tuple[Decimal, Decimal]:
    """Without and with tax: what a paper comes to with its credits up to the day."""
    rows = [paper, *(credit for credit in paper.credited_by.all() if credit.on <= day)]
    return sum((row.net for row in rows), ZERO), sum((row.gross for row in rows), ZERO)


def _own_part(paper: Sale, net: Decimal, gross: Decimal) -> Fraction:
    """The part of what is paid for a paper that is no tax; of one credited in full, the part it had."""
    if gross:
        return Fraction(net) / Fraction(gross)
    return Fraction(paper.net) / Fraction(paper.gross) if paper.gross else Fraction(1)
