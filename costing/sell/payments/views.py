"""Pages of money that customers pay and are paid back, and of who owes. Nothing is changed; it is taken back."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.sell.jobs.models import Job
from costing.sell.payments import forms as payments_forms
from costing.sell.payments import selectors as payments_read
from costing.sell.payments import selectors as payments_selectors
from costing.sell.payments import services as payments
from costing.sell.payments.models import Payment
from costing.sell.payments.tables import PaymentTable
from costing.sell.sales.models import Sale
from inventory.base import selectors as workshop
from inventory.permits import Act, may
from inventory.templatetags import figures
from inventory.web.lists import asked_for
from inventory.web.reversals import ROOM, Ledger, TakeBack
from inventory.web.views import EntryView


@require_safe
def owed(request: HttpRequest) -> HttpResponse:
    today = workshop.today()
    return render(
        request,
        "costing/sell/payments/owed.html",
        {
            "title": "Who owes me",
            "room": ROOM,
            "trail": [("Sales", reverse("sales"))],
            "today": today,
            "owing": payments_read.owing(today),
            "may_books": may(request.user, Act.BOOKS),
        },
    )


class PaymentList(Ledger):
    table_class = PaymentTable
    finder_class = payments_forms.PaymentFinder
    title = "Money in"
    lead = "Every payment has a number of its own. Enter one on the page of its sale or job."
    links = (("Sales", "sales"), ("Who owes me", "owed"))
    empty_title = "No payment yet"
    empty_text = (
        "What is paid with a sale stands here by itself. Open a sale that is not paid to enter what came later."
    )

    def rows(self) -> QuerySet[Payment]:
        return payments_read.payments()


class _ForOneThing(EntryView):
    """`?sale=` or `?job=` says what the money is for."""

    template_name = "inventory/web/entry.html"
    room = ROOM
    made: Payment

    @cached_property
    def sale(self) -> Sale | None:
        number = asked_for(self.request, "sale")
        return get_object_or_404(payments_selectors.settled(), number=number) if number else None

    @cached_property
    def job(self) -> Job | None:
        number = asked_for(self.request, "job")
        return get_object_or_404(Job.objects.select_related("customer"), number=number) if number else None

    def done_url(self) -> str:
        if self.sale:
            return reverse("sale", args=[self.sale.number])
        return reverse("job", args=[self.job.number]) if self.job else reverse("payments")

    cancel_url = done_url

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [("Sales", reverse("sales")), (str(self.sale or self.job), self.done_url())]
        return super().get_context_data(trail=trail, **more)


class PaymentNew(_ForOneThing):
    form_class = payments_forms.PaymentForm
    submit = "It came in"

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names what is paid
        return f"Money for {self.sale or self.job}"

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it says what is left
        if self.sale:
            left = payments_selectors.balance(self.sale, workshop.today()).left
            return f"{figures.money(left)} is left to pay."
        if self.job is None:
            raise Http404
        held = payments_selectors.deposit(self.job)
        return (
            f"Agreed with {self.job.customer} at {figures.money(self.job.price)}; {figures.money(held)} is paid."
            " Until the skin is handed over it is a deposit, owed back."
        )

    def get_initial(self) -> dict[str, Any]:
        amount = None
        if self.sale:
            amount = payments_selectors.balance(self.sale, workshop.today()).left
        elif self.job:
            amount = max(self.job.deposit - payments_selectors.deposit(self.job), Decimal(0))
        return {**super().get_initial(), "on": workshop.today(), "amount": amount or None}

    def enter(self, form: forms.Form) -> Payment:
        found = form.cleaned_data
        return payments.receive(
            amount=found["amount"],
            on=found["on"],
            how=found["how"],
            sale=self.sale,
            job=self.job,
            note=found["note"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def said(self) -> str:
        return f"{self.made.number}: {figures.money(self.made.amount)} is written."


class PaymentBack(_ForOneThing):
    """Money paid back: what was paid too much on a sale, or a deposit."""

    form_class = payments_forms.PaidBackForm
    submit = "It is paid back"

    @cached_property
    def owed(self) -> Decimal:
        if self.sale:
            return payments_selectors.owed_back(self.sale, workshop.today())
        if self.job is None:
            raise Http404
        return Decimal(0) if self.job.handed_over_on else payments_selectors.least_held(self.job, workshop.today())

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names what it was paid for
        return f"Pay back on {self.sale or self.job}"

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it says what is owed back
        if not self.owed:
            return f"Nothing is owed back on {self.sale or self.job}."
        how = "was paid too much" if self.sale else "is held as a deposit"
        return f"{figures.money(self.owed)} {how}. It may go back in parts, each with a receipt."

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "on": workshop.today(), "amount": self.owed or None}

    def enter(self, form: forms.Form) -> Payment:
        found = form.cleaned_data
        return payments.refund(
            amount=found["amount"],
            on=found["on"],
            how=found["how"],
            sale=self.sale,
            job=self.job,
            note=found["note"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def said(self) -> str:
        return f"{self.made.number}: {figures.money(-self.made.amount)} is paid back. Its receipt is under Money."


class PaymentTakeBack(TakeBack):
    title = "Take this payment back?"

    @cached_property
    def row(self) -> Payment:
        return get_object_or_404(payments_read.payments(), pk=self.kwargs["pk"])

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it names the payment
        row = self.row
        of = f"for {row.sale or row.job} on {row.on.day} {row.on:%b %Y}"
        if row.amount < 0:
            return (
                f"{row.number}: {figures.money(-row.amount)} paid back {of}. For money that did not go back after all."
            )
        return (
            f"{row.number}: {figures.money(row.amount)} {of}."
            " For money that never came. What came and goes back is paid back instead."
        )

    def happened(self) -> date:
        return self.row.on

    def enter(self, form: forms.Form) -> Payment:
        found = form.cleaned_data
        return payments.take_back(
            payment=self.row, on=found["on"], by=self.request.user, request_key=found["request_key"]
        )

    def done_url(self) -> str:
        row = self.row
        if row.sale:
            return reverse("sale", args=[row.sale.number])
        return reverse("job", args=[row.job.number]) if row.job else reverse("payments")

    cancel_url = done_url
