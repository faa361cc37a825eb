"""Pages of money and hours beside the pieces: payments, costs, hours, who owes. Nothing is changed; it is taken back."""

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

from costing.forms import payments as asked
from costing.models import Expense, Fair, Job, Payment, Sale, SideHours
from costing.selectors import ledgers, money
from costing.services import expenses, hours, payments
from costing.tables.sales import ExpenseTable, HoursTable, PaymentTable
from costing.views.lists import ListPage, asked_for
from inventory.selectors import workshop
from inventory.services.permits import Act, may
from inventory.templatetags import figures
from inventory.views.entry import EntryView

ROOM = "Sales"


@require_safe
def owed(request: HttpRequest) -> HttpResponse:
    today = workshop.today()
    return render(
        request,
        "costing/payments/owed.html",
        {
            "title": "Who owes me",
            "room": ROOM,
            "trail": [("Sales", reverse("sales"))],
            "today": today,
            "owing": ledgers.owing(today),
            "may_books": may(request.user, Act.BOOKS),
        },
    )


class _Ledger(ListPage):
    room = ROOM
    new_act = Act.BOOKS
    column = "amount"

    def prepare(self, table: Any) -> None:
        table.total = ledgers.total(table.data.data, self.column)


class PaymentList(_Ledger):
    table_class = PaymentTable
    finder_class = asked.PaymentFinder
    title = "Money in"
    lead = "Every payment has a number of its own. Enter one on the page of its sale or job."
    links = (("Sales", "sales"), ("Who owes me", "owed"))
    empty_title = "No payment yet"
    empty_text = (
        "What is paid with a sale stands here by itself. Open a sale that is not paid to enter what came later."
    )

    def rows(self) -> QuerySet[Payment]:
        return ledgers.payments()


class ExpenseList(_Ledger):
    table_class = ExpenseTable
    finder_class = asked.ExpenseFinder
    title = "Costs"
    lead = (
        "What selling cost, and what the year cost whatever was sold. Materials and skins are not here: they are stock."
    )
    links = (("Sales", "sales"), ("Hours", "hours"))
    new_name, new_label = "expense_new", "Enter a cost"
    empty_title = "No cost yet"
    empty_text = (
        "Enter what the year costs beside materials: power, insurance, phone. Fees and postage stand with their sale."
    )

    def rows(self) -> QuerySet[Expense]:
        return ledgers.expenses()


class HoursList(_Ledger):
    table_class = HoursTable
    finder_class = asked.HoursFinder
    title = "Hours beside the making"
    lead = "Stall, buying, photos, papers: no skin bears them, but they count when you ask what an hour earned."
    links = (("Sales", "sales"), ("Costs", "expenses"))
    new_name, new_label = "hours_new", "Enter hours"
    empty_title = "No hours yet"
    empty_text = "Enter what the papers, the buying and the photos took; the hours at a fair stand with the fair."
    column = "minutes"

    def rows(self) -> QuerySet[SideHours]:
        return ledgers.hours()


class _ForOneThing(EntryView):
    """`?sale=` or `?job=` says what the money is for."""

    template_name = "inventory/entry.html"
    room = ROOM
    made: Payment

    @cached_property
    def sale(self) -> Sale | None:
        number = asked_for(self.request, "sale")
        return get_object_or_404(money.settled(), number=number) if number else None

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
    form_class = asked.PaymentForm
    submit = "It came in"

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names what is paid
        return f"Money for {self.sale or self.job}"

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it says what is left
        if self.sale:
            left = money.balance(self.sale, workshop.today()).left
            return f"{figures.money(left)} is left to pay."
        if self.job is None:
            raise Http404
        held = money.deposit(self.job)
        return (
            f"Agreed with {self.job.customer} at {figures.money(self.job.price)}; {figures.money(held)} is paid."
            " Until the skin is handed over it is a deposit, owed back."
        )

    def get_initial(self) -> dict[str, Any]:
        amount = None
        if self.sale:
            amount = money.balance(self.sale, workshop.today()).left
        elif self.job:
            amount = max(self.job.deposit - money.deposit(self.job), Decimal(0))
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

    form_class = asked.PaidBackForm
    submit = "It is paid back"

    @cached_property
    def owed(self) -> Decimal:
        if self.sale:
            return money.owed_back(self.sale, workshop.today())
        if self.job is None:
            raise Http404
        return Decimal(0) if self.job.handed_over_on else money.least_held(self.job, workshop.today())

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


class _TakeBack(EntryView):
    """Takes one entry back by a linked one of the same size."""

    form_class = asked.BackForm
    template_name = "inventory/entry.html"
    room = ROOM
    submit = "Take it back"
    danger = True
    done_message = "Taken back; both stand in the books, linked."

    def happened(self) -> date:
        raise NotImplementedError

    def get_initial(self) -> dict[str, Any]:
        closed = workshop.current().closed_to
        day = self.happened()
        return {**super().get_initial(), "on": workshop.today() if closed and day <= closed else day}

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(trail=[("Sales", reverse("sales"))], **more)


class PaymentTakeBack(_TakeBack):
    title = "Take this payment back?"

    @cached_property
    def row(self) -> Payment:
        return get_object_or_404(ledgers.payments(), pk=self.kwargs["pk"])

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


class ExpenseNew(EntryView):
    """`?sale=` or `?fair=` (id) says what it belongs to; without either it is a cost of the year."""

    form_class = asked.ExpenseForm
    template_name = "inventory/entry.html"
    room = ROOM
    submit = "Enter it"
    made: Expense

    @cached_property
    def sale(self) -> Sale | None:
        number = asked_for(self.request, "sale")
        return get_object_or_404(Sale, number=number) if number else None

    @cached_property
    def fair(self) -> Fair | None:
        pk = self.request.GET.get("fair", "")
        return get_object_or_404(Fair, pk=pk if pk.isascii() and pk.isdigit() and len(pk) < 10 else 0) if pk else None

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names what it belongs to
        of = self.sale or self.fair
        return f"A cost of {of}" if of else "A cost of the year"

    def get_form_kwargs(self) -> dict[str, Any]:
        kinds = asked.FOR_A_SALE if self.sale else asked.FOR_A_FAIR if self.fair else asked.FOR_THE_YEAR
        return {**super().get_form_kwargs(), "kinds": kinds, "of_sale": self.sale is not None}

    def get_initial(self) -> dict[str, Any]:
        kind = "fee" if self.sale else "pitch" if self.fair else "overhead"
        day = self.fair.on if self.fair else self.sale.on if self.sale else workshop.today()
        return {**super().get_initial(), "on": day, "kind": kind}

    def enter(self, form: forms.Form) -> Expense:
        found = form.cleaned_data
        return expenses.spend(
            kind=found["kind"],
            amount=found["amount"],
            on=found["on"],
            words=found["words"],
            sale=self.sale,
            fair=self.fair,
            withheld=found.get("withheld", False),
            by=self.request.user,
            request_key=found["request_key"],
        )

    def done_url(self) -> str:
        if self.sale:
            return reverse("sale", args=[self.sale.number])
        return reverse("fair", args=[self.fair.pk]) if self.fair else reverse("expenses")

    cancel_url = done_url

    def said(self) -> str:
        return f"{self.made.get_kind_display()} of {figures.money(self.made.amount)} is written."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        of = self.sale or self.fair
        trail = [("Sales", reverse("sales")), (str(of) if of else "Costs", self.done_url())]
        return super().get_context_data(trail=trail, **more)


class ExpenseTakeBack(_TakeBack):
    title = "Take this cost back?"

    @cached_property
    def row(self) -> Expense:
        return get_object_or_404(ledgers.expenses(), pk=self.kwargs["pk"])

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it names the cost
        row = self.row
        words = f", {row.words}" if row.words else ""
        what = f"{row.get_kind_display()}{words}: {figures.money(row.amount)} on {row.on.day} {row.on:%b %Y}"
        return f"{what}. Both entries stay in the books."

    def happened(self) -> date:
        return self.row.on

    def enter(self, form: forms.Form) -> Expense:
        found = form.cleaned_data
        return expenses.take_back(
            expense=self.row, on=found["on"], by=self.request.user, request_key=found["request_key"]
        )

    def done_url(self) -> str:
        row = self.row
        if row.sale:
            return reverse("sale", args=[row.sale.number])
        return reverse("fair", args=[row.fair.pk]) if row.fair else reverse("expenses")

    cancel_url = done_url


class HoursNew(EntryView):
    form_class = asked.HoursForm
    template_name = "inventory/entry.html"
    title = "Hours beside the making"
    room = ROOM
    submit = "Enter them"
    cancel_name = "hours"
    made: SideHours

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "on": workshop.today(), "kind": SideHours.Kind.PAPERS}

    def enter(self, form: forms.Form) -> SideHours:
        found = form.cleaned_data
        return hours.write(
            kind=found["kind"],
            minutes=found["minutes"],
            on=found["on"],
            words=found["words"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def said(self) -> str:
        return f"{figures.hours(self.made.minutes)} are written."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [("Sales", reverse("sales")), ("Hours", reverse("hours"))]
        return super().get_context_data(trail=trail, **more)


class HoursTakeBack(_TakeBack):
    title = "Take these hours back?"
    cancel_name = "hours"

    @cached_property
    def row(self) -> SideHours:
        return get_object_or_404(ledgers.hours(), pk=self.kwargs["pk"])

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it names the hours
        row = self.row
        return f"{figures.hours(row.minutes)}, {row.get_kind_display().lower()}, on {row.on.day} {row.on:%b %Y}."

    def happened(self) -> date:
        return self.row.on

    def enter(self, form: forms.Form) -> SideHours:
        found = form.cleaned_data
        return hours.take_back(row=self.row, on=found["on"], by=self.request.user, request_key=found["request_key"])
