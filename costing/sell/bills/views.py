"""What I owe: bills of goods and costs that are due later, and paying them. Nothing is changed; it is reversed."""

from typing import Any

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.sell.bills import selectors as bills_read, services as bills
from costing.sell.bills.forms import BillPaymentForm
from costing.sell.bills.models import BillPayment
from costing.sell.bills.rules import Bill
from costing.sell.expenses.models import Expense
from inventory.base import selectors as workshop
from inventory.models import Delivery
from inventory.money import ZERO
from inventory.permits import Act, may
from inventory.templatetags import figures
from inventory.web.lists import asked_number
from inventory.web.reversals import Reversal
from inventory.web.trail import page
from inventory.web.views import EntryView

LATELY = 20


@require_safe
def payables(request: HttpRequest) -> HttpResponse:
    today = workshop.today()
    return page(
        request,
        "costing/sell/bills/payables.html",
        "I owe",
        ("books",),
        today=today,
        payables=bills_read.payables(today),
        payments=bills_read.payments()[:LATELY],
        may_books=may(request.user, Act.BOOKS),
    )


class BillPay(EntryView):
    """`?delivery=` or `?expense=` (id) says which bill it is."""

    form_class = BillPaymentForm
    title = "Pay {self.bill.name}"
    trail = ("books", "payables")
    cancel_page = "payables"
    submit = "Record payment"
    made: BillPayment

    @cached_property
    def of(self) -> dict[str, int | None]:
        return {name: asked_number(self.request, name) for name in ("delivery", "expense")}

    @cached_property
    def bill(self) -> Bill:
        found = bills_read.bill(**self.of)
        if found is None:
            raise Http404
        return found

    def get_lead(self) -> str:
        left = figures.money(self.bill.left(workshop.today()))
        return f"The balance is {left}, due on {figures.day(self.bill.due_on)}. It may be paid in parts."

    def get_initial(self) -> dict[str, Any]:
        return {"amount": max(self.bill.left(workshop.today()), ZERO) or None}

    def enter(self, form: forms.Form) -> BillPayment:
        bill = self.bill
        delivery = get_object_or_404(Delivery, pk=bill.delivery) if bill.delivery else None
        expense = get_object_or_404(Expense, pk=bill.expense) if bill.expense else None
        return bills.pay(delivery=delivery, expense=expense, **self.sent(form))

    def get_success_message(self) -> str:
        return f"{figures.money(self.made.amount)} paid on {self.bill.name} is recorded."


class BillPaymentReversal(Reversal[BillPayment]):
    things = staticmethod(bills_read.payments)
    title = "Reverse this payment?"
    trail = ("books", "payables")
    cancel_page = "payables"

    def get_lead(self) -> str:
        row = self.thing
        return f"{figures.money(row.amount)} on {figures.day(row.on)}. For money that never went out."

    def enter(self, form: forms.Form) -> BillPayment:
        return bills.reverse(payment=self.thing, **self.sent(form))
