"""Reads of sales: the list with its totals, one paper with its money, and the packing that no paper names yet."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet, Sum

from costing.sell.debts.reminders import selectors as reminders
from costing.sell.debts.reminders.models import Reminder
from costing.sell.debts.write_offs.models import WriteOff
from costing.sell.expenses.models import Expense
from costing.sell.payments import rules as payments_rules, selectors as payments_read
from costing.sell.payments.models import Payment
from costing.sell.pricing.channels.models import Channel
from costing.sell.sales.lines import selectors as sale_lines
from costing.sell.sales.lines.rules import PieceResult, of_sales
from costing.sell.sales.models import Sale, SaleLine
from inventory.base import selectors as workshop
from inventory.base.finding import hits
from inventory.models import Kind, Movement, Posting
from inventory.money import ZERO


@dataclass(frozen=True)
class Money:
    """How one paper stands: what came for it, what it cost, what it left for the hours in it. `back` can be paid back."""

    balance: payments_rules.Balance
    back: Decimal
    payments: list[Payment]
    deposits: list[Payment]
    expenses: list[Expense]
    box: Decimal
    result: PieceResult
    write_offs: list[WriteOff]
    reminders: list[Reminder]

    @property
    def settled(self) -> bool:
        """Whether anything settled a part of it, if only for a time."""
        found = self.payments or self.deposits or self.write_offs or self.balance.paid or self.balance.credited
        return bool(found)

    @property
    def kept_back(self) -> Decimal:
        """Of what is paid too much, the part that never came: who pays us kept it."""
        return max(self.balance.overpaid - self.back, ZERO)


def listed() -> QuerySet[Sale]:
    """Papers with everything that a row shows, their balance among it."""
    return payments_read.settled().select_related("customer", "channel", "fair", "credits")


def totals(rows: QuerySet[Sale]) -> dict[str, Decimal]:
    """What the papers of a list come to."""
    plain = Sale.objects.filter(pk__in=rows.order_by().values("pk"))
    found = plain.aggregate(net=Sum("net"), gross=Sum("gross"))
    return {name: value or ZERO for name, value in found.items()}


def found(number: str) -> QuerySet[Sale]:
    """One paper with its lines and what they sold, all that settles it, its box."""
    rows = payments_read.settled("article", "job__skin", "skin").filter(number=number)
    rows = rows.select_related("channel", "fair", "credits", "packing", "written_by")
    return rows.prefetch_related("packing__movements__material")


def stands(sale: Sale, on: date) -> Money:
    """How a paper that was `found` stands at the end of a day. Its result is that of the paper with its credits."""
    deposits = [
        row for line in sale.lines.all() if line.job is not None for row in line.job.payments.all() if line.standing
    ]
    spent = Expense.objects.filter(sale=sale).select_related("reversed_by").order_by("on", "pk")
    sold = sale_lines.lines(Sale.objects.filter(Q(pk=sale.pk) | Q(credits=sale.pk)))
    return Money(
        balance=payments_read.balance(sale, on),
        back=payments_read.owed_back(sale, on),
        payments=list(sale.payments.select_related("reversed_by", "reverses").order_by("on", "pk")),
        deposits=deposits,
        expenses=list(spent),
        box=-sum((row.value for row in sale.packing.movements.all()), ZERO) if sale.packing else ZERO,
        result=of_sales((row.sold for row in sold), workshop.places()),
        write_offs=list(sale.write_offs.select_related("reversed_by").order_by("on", "pk")),
        reminders=list(reminders.standing(sale)),
    )


def selling_line(article_ids: Iterable[int]) -> dict[int, SaleLine]:
    """By article id: the line that sold it and still stands."""
    rows = SaleLine.objects.filter(article__in=list(article_ids), standing=True).select_related("sale__customer")
    return {row.article_id: row for row in rows if row.article_id is not None}


def loose_boxes() -> list[tuple[Posting, str]]:
    """What left the shelf for a sale and stands on no paper yet, the latest first, in words."""
    moved = Movement.objects.select_related("material")
    named = Sale.objects.filter(packing=OuterRef("pk"))
    back = Posting.objects.filter(reverses=OuterRef("pk"))
    rows = (
        Posting.objects.filter(kind=Kind.SOLD, reverses__isnull=True)
        .filter(~Exists(named), ~Exists(back))
        .prefetch_related(Prefetch("movements", queryset=moved))
        .order_by("-on", "-pk")[:20]
    )
    return [(row, ", ".join(each.material.name for each in row.movements.all())) for row in rows]


def habit(channel: Channel | None) -> dict[str, Any]:
    """How the last sale through a channel was written, for the next: its paper, how it was paid, and of a gallery the buyer,
    for it is the same every time; and it pays later."""
    usual = {"kind": Sale.Kind.SALE, "how": Payment.How.CASH, "customer": None}
    if channel is None:
        return usual
    # A job is billed to its customer, whatever it is paid through; that says nothing of the next sale over the counter.
    sold = Sale.objects.filter(channel=channel).exclude(kind=Sale.Kind.CREDIT).exclude(lines__job__isnull=False)
    last = sold.prefetch_related("payments").order_by("-pk").first()
    if last is None:
        return {**usual, "kind": Sale.Kind.INVOICE, "how": ""} if channel.place_id else usual
    how = next((row.how for row in last.payments.all() if row.amount > 0 and row.on == last.on), "")
    return {"kind": last.kind, "how": how, "customer": last.customer_id if channel.place_id else None}


def search(words: str) -> QuerySet[Sale]:
    """Papers by number, buyer and note."""
    return hits(Sale.objects.select_related("customer"), words, ("number", "customer__name", "note"))
