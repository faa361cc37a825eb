"""Pages that write a debt off and reverse that."""

from typing import Any

from django import forms
from django.db.models import Model, QuerySet

from costing.sell.debts.write_offs import services as write_offs
from costing.sell.debts.write_offs.forms import WriteOffForm
from costing.sell.debts.write_offs.models import WriteOff
from costing.sell.payments import selectors as payments
from costing.sell.sales.models import Sale
from inventory.base import selectors as workshop
from inventory.permits import Act
from inventory.templatetags import figures
from inventory.web.reversals import Reversal
from inventory.web.views import About


class SaleWriteOff(About[Sale]):
    things = staticmethod(payments.settled)
    form_class = WriteOffForm
    title = "Write off {self.thing} as bad debt"
    submit = "Write off"
    danger = True
    needs = Act.BOOKS

    def get_lead(self) -> str:
        due = figures.money(payments.balance(self.thing, workshop.today()).left)
        tax = (
            " Whether the tax on it can be claimed back differs by country: ask your accountant."
            if self.thing.tax
            else ""
        )
        return (
            f"The balance due is {due}. For what will never be paid: the sale, its price and its tax stay, and the loss"
            f" is a cost of the year where stock is counted.{tax}"
        )

    def get_initial(self) -> dict[str, Any]:
        return {"amount": payments.balance(self.thing, workshop.today()).left or None}

    def enter(self, form: forms.Form) -> WriteOff:
        return write_offs.write_off(sale=self.thing, **self.sent(form))

    def get_success_message(self) -> str:
        return f"{figures.money(self.made.amount)} of {self.thing} is written off."


class WriteOffReversal(Reversal[WriteOff]):
    title = "Reverse this write-off?"
    lead = "The balance is due again from that day. Then enter what the customer pays as usual."
    needs = Act.BOOKS
    success_message = "The write-off is reversed. Enter the payment now."

    def things(self) -> QuerySet[WriteOff]:
        return WriteOff.objects.select_related("sale")

    def whose(self) -> Model:
        return self.thing.sale

    def get_initial(self) -> dict[str, Any]:
        """Today: it stands in the books of the days before."""
        return {"on": workshop.today()}

    def enter(self, form: forms.Form) -> WriteOff:
        return write_offs.reverse(write_off=self.thing, **self.sent(form))
