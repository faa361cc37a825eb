"""Pages of costs: of a sale, of a fair, of the year. Nothing is changed; it is taken back."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property

from costing.sell.expenses import forms as expenses_forms
from costing.sell.expenses import selectors as expenses_read
from costing.sell.expenses import services as expenses
from costing.sell.expenses.models import Expense
from costing.sell.expenses.tables import ExpenseTable
from costing.sell.fairs.models import Fair
from costing.sell.sales.models import Sale
from inventory.base import selectors as workshop
from inventory.templatetags import figures
from inventory.web.lists import asked_for
from inventory.web.reversals import ROOM, Ledger, TakeBack
from inventory.web.views import EntryView


class ExpenseList(Ledger):
    table_class = ExpenseTable
    finder_class = expenses_forms.ExpenseFinder
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
        return expenses_read.expenses()


class ExpenseNew(EntryView):
    """`?sale=` or `?fair=` (id) says what it belongs to; without either it is a cost of the year."""

    form_class = expenses_forms.ExpenseForm
    template_name = "inventory/web/entry.html"
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
        kinds = (
            expenses_forms.FOR_A_SALE
            if self.sale
            else expenses_forms.FOR_A_FAIR
            if self.fair
            else expenses_forms.FOR_THE_YEAR
        )
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


class ExpenseTakeBack(TakeBack):
    title = "Take this cost back?"

    @cached_property
    def row(self) -> Expense:
        return get_object_or_404(expenses_read.expenses(), pk=self.kwargs["pk"])

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
