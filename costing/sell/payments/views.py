"""Pages of money that customers pay and are paid back, and of what is owed. Nothing is changed; it is reversed."""

from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import Model
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.sell.jobs.models import Job
from costing.sell.payments import selectors as payments_read, services as payments
from costing.sell.payments.forms import PaymentFinder, PaymentForm, RefundForm
from costing.sell.payments.models import Payment
from costing.sell.payments.tables import PaymentTable
from costing.sell.sales.models import Sale
from inventory import formats
from inventory.base import selectors as workshop
from inventory.permits import Act, may
from inventory.templatetags import figures
from inventory.web.lists import ListPage, asked_for
from inventory.web.reversals import Reversal
from inventory.web.trail import page
from inventory.web.views import EntryView


@require_safe
def owed(request: HttpRequest) -> HttpResponse:
    today = workshop.today()
    return page(
        request,
        "costing/sell/payments/owed.html",
        "Owed to me",
        ("sales",),
        today=today,
        owing=payments_read.owing(today),
        may_books=may(request.user, Act.BOOKS),
    )


class PaymentList(ListPage):
    table_class = PaymentTable
    finder_class = PaymentFinder
    rows = staticmethod(payments_read.payments)
    title = "Payments"
    trail = ("sales",)
    totals = "amount"
    lead = "Every payment has a number of its own. Enter one on the page of its sale or job."
    links = ("owed",)
    empty_title = "No payment yet"
    empty_text = "What is paid with a sale is here by itself. Open a sale that is not paid to enter what came later."


class _ForOneThing(EntryView):
    """`?sale=` or `?job=` says what the money is for."""

    form_class: type[forms.Form] = PaymentForm
    made: Payment

    @cached_property
    def sale(self) -> Sale | None:
        number = asked_for(self.request, "sale")
        return get_object_or_404(payments_read.settled(), number=number) if number else None

    @cached_property
    def job(self) -> Job | None:
        number = asked_for(self.request, "job")
        return get_object_or_404(Job.objects.select_related("customer"), number=number) if number else None

    @property
    def of(self) -> Sale | Job:
        if (of := self.sale or self.job) is None:
            raise Http404
        return of

    def whose(self) -> Model:
        return self.of


class PaymentNew(_ForOneThing):
    title = "Money for {self.of}"
    submit = "Record payment"

    @cached_property
    def due(self) -> Decimal:
        return payments_read.expected(self.of, workshop.today())

    def get_lead(self) -> str:
        of = self.of
        if isinstance(of, Sale):
            return f"The balance due is {figures.money(self.due)}."
        sums = payments_read.comes_to(of)
        tax = f", {figures.money(sums.pays)} with tax" if sums.pays != sums.typed else ""
        return (
            f"Agreed with {of.customer} at {figures.money(of.price)}{tax}; {figures.money(payments_read.deposit(of))} is paid."
            " Until the skin is handed over it is a deposit, owed back."
        )

    def get_initial(self) -> dict[str, Any]:
        return {"amount": self.due or None}

    def enter(self, form: forms.Form) -> Payment:
        return payments.receive(sale=self.sale, job=self.job, **self.sent(form))

    def get_success_message(self) -> str:
        return f"{self.made.number}: {figures.money(self.made.amount)} is recorded."


class PaymentBack(_ForOneThing):
    """Money paid back: what was paid too much on a sale, or a deposit."""

    form_class = RefundForm
    title = "Pay back on {self.of}"
    submit = "Record refund"

    @cached_property
    def owed(self) -> Decimal:
        return payments_read.owed_back_on(self.of, workshop.today())

    def get_lead(self) -> str:
        if not self.owed:
            return f"Nothing is owed back on {self.of}."
        how = "was paid too much" if self.sale else "is held as a deposit"
        return f"{figures.money(self.owed)} {how}. It may go back in parts, each with a receipt."

    def get_initial(self) -> dict[str, Any]:
        return {"amount": self.owed or None}

    def enter(self, form: forms.Form) -> Payment:
        return payments.refund(sale=self.sale, job=self.job, **self.sent(form))

    def get_success_message(self) -> str:
        amount = figures.money(-self.made.amount)
        return f"{self.made.number}: {amount} is paid back. Its receipt is under Payments."


class PaymentReversal(Reversal[Payment]):
    things = staticmethod(payments_read.payments)
    title = "Reverse this payment?"
    trail = ("sales", "payments")
    cancel_page = "payments"

    def whose(self) -> Model | None:
        return self.thing.sale or self.thing.job

    def get_lead(self) -> str:
        row = self.thing
        of = f"for {row.sale or row.job} on {formats.day(row.on)}"
        if row.amount < 0:
            return (
                f"{row.number}: {figures.money(-row.amount)} paid back {of}. For money that did not go back after all."
            )
        return (
            f"{row.number}: {figures.money(row.amount)} {of}."
            " For money that never came. What came and goes back is paid back instead."
        )

    def enter(self, form: forms.Form) -> Payment:
        return payments.reverse(payment=self.thing, **self.sent(form))
