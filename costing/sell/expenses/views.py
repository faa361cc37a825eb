"""Pages of costs (of a sale, of a fair, of the year) and of non-production hours. Nothing is changed; it is reversed."""

from typing import Any

from django import forms
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.sell.expenses import selectors as expenses_read, services as expenses
from costing.sell.expenses.forms import (
    BESIDE_THE_YEAR,
    FOR_A_FAIR,
    FOR_A_SALE,
    ExpenseFinder,
    ExpenseForm,
    HoursFinder,
    HoursForm,
    kinds_of,
)
from costing.sell.expenses.models import Expense, SideHours
from costing.sell.expenses.tables import ExpenseTable, HoursTable
from costing.sell.fairs.models import Fair
from costing.sell.headings import selectors as headings
from costing.sell.headings.models import CostKind
from costing.sell.sales.models import Sale
from inventory import formats
from inventory.base import selectors as workshop
from inventory.permits import Act, require
from inventory.templatetags import figures
from inventory.web import bills
from inventory.web.lists import ListPage, asked_for, asked_number
from inventory.web.reversals import Reversal
from inventory.web.views import About, EntryView


class ExpenseList(ListPage):
    table_class = ExpenseTable
    finder_class = ExpenseFinder
    rows = staticmethod(expenses_read.expenses)
    title = "Costs"
    trail = ("sales",)
    totals = "amount"
    lead = (
        "What selling cost, and what the year cost whatever was sold. Materials and skins are not here: they are stock."
    )
    links = ("hours", "payables", "cost_kinds")
    action = ("Enter a cost", "expense_new")
    needs = Act.BOOKS
    empty_title = "No cost yet"
    empty_text = (
        "Enter what the year costs beside materials: power, insurance, phone. Fees and postage are with their sale."
    )


class ExpenseNew(EntryView):
    """`?sale=` or `?fair=` (id) says what it belongs to; without either it is a cost of the year. `?kind=` opens it for a kind."""

    form_class = ExpenseForm
    trail = ("sales", "expenses")
    cancel_page = "expenses"
    submit = "Record cost"
    template_name = "costing/sell/expenses/new.html"
    made: Expense

    @cached_property
    def sale(self) -> Sale | None:
        number = asked_for(self.request, "sale")
        return get_object_or_404(Sale, number=number) if number else None

    @cached_property
    def fair(self) -> Fair | None:
        pk = asked_number(self.request, "fair")
        return None if pk is None else get_object_or_404(Fair, pk=pk)

    def whose(self) -> Sale | Fair | None:
        return self.sale or self.fair

    @cached_property
    def kinds(self) -> list[tuple[str, str]]:
        """The usual one first."""
        if self.whose():
            return kinds_of(FOR_A_SALE if self.sale else FOR_A_FAIR, CostKind.Place.SELLING)
        return kinds_of(BESIDE_THE_YEAR, CostKind.Place.YEAR)

    @property
    def kind(self) -> str:
        """The one that is asked for or was sent; else the usual one."""
        asked = self.request.POST.get("kind") or asked_for(self.request, "kind")
        return asked if asked in dict(self.kinds) else next((code for code, _ in self.kinds), "")

    def get_title(self) -> str:
        return formats.dated(f"A cost of {self.whose() or 'the year'}")

    def form_options(self) -> dict[str, Any]:
        known = headings.kind(self.kind)
        of = "sale" if self.sale else "fair" if self.fair else ""
        return {"kinds": self.kinds, "of": of, "asks": known.asks if known else ""}

    def get_initial(self) -> dict[str, Any]:
        of = self.whose()
        return {"on": of.on if of else workshop.today(), "kind": self.kind}

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        asking = [] if self.whose() else [row for row in headings.offered(CostKind.Place.YEAR) if row.asks]
        return super().get_context_data(asking=asking, kind=self.kind, **more)

    def enter(self, form: forms.Form) -> Expense:
        return expenses.spend(sale=self.sale, fair=self.fair, with_tax=True, **self.sent(form))

    def get_success_message(self) -> str:
        return f"{self.made.get_kind_display()} of {figures.money(self.made.amount)} is recorded."


@require_safe
def expense_bill(request: HttpRequest, pk: int) -> HttpResponse:
    """The paper of a cost, for those who write money."""
    require(request.user, Act.BOOKS)
    return bills.answer(get_object_or_404(Expense, pk=pk).bill)


class ExpenseBill(About[Expense]):
    things = staticmethod(expenses_read.expenses)
    form_class = bills.BillForm
    needs = Act.BOOKS
    title = "The bill of a cost"
    submit = "Keep it"
    trail = ("sales", "expenses")
    cancel_page = "expenses"
    success_message = "The bill is kept with the cost."

    def get_lead(self) -> str:
        return expenses_read.in_words(self.thing)

    def enter(self, form: bills.BillForm) -> Expense:
        return expenses.attach(expense=self.thing, bill=form.cleaned_data["bill"], by=self.request.user)


class ExpenseReversal(Reversal[Expense]):
    things = staticmethod(expenses_read.expenses)
    title = "Reverse this cost?"
    trail = ("sales", "expenses")
    cancel_page = "expenses"

    def whose(self) -> Model | None:
        return self.thing.sale or self.thing.fair

    def get_lead(self) -> str:
        return f"{expenses_read.in_words(self.thing)}. Both entries stay in the books."

    def enter(self, form: forms.Form) -> Expense:
        return expenses.reverse(expense=self.thing, **self.sent(form))


class HoursList(ListPage):
    table_class = HoursTable
    finder_class = HoursFinder
    rows = staticmethod(expenses_read.hours)
    title = "Non-production hours"
    trail = ("sales",)
    totals = "minutes"
    lead = "Stall, buying, photos, papers: allocated to no skin, but they count when you ask what an hour earned."
    links = ("expenses",)
    action = ("Enter hours", "hours_new")
    needs = Act.BOOKS
    empty_title = "No hours yet"
    empty_text = "Enter what the papers, the buying and the photos took; the hours at a fair are with the fair."


class HoursNew(EntryView):
    form_class = HoursForm
    title = "Non-production hours"
    trail = ("sales", "hours")
    submit = "Record hours"
    cancel_page = "hours"
    made: SideHours

    def enter(self, form: forms.Form) -> SideHours:
        return expenses.spend_hours(**self.sent(form))

    def get_success_message(self) -> str:
        return f"{figures.hours(self.made.minutes)} are recorded."


class HoursReversal(Reversal[SideHours]):
    things = staticmethod(expenses_read.hours)
    title = "Reverse these hours?"
    trail = ("sales", "hours")
    cancel_page = "hours"

    def get_lead(self) -> str:
        row = self.thing
        return f"{figures.hours(row.minutes)}, {row.get_kind_display().lower()}, on {formats.day(row.on)}."

    def enter(self, form: forms.Form) -> SideHours:
        return expenses.reverse_hours(row=self.thing, **self.sent(form))
