"""Pages of customers: the list, one with papers, jobs and what they owe, a new one, a changed one, forgetting one."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.sell.customers import selectors as customers_read
from costing.sell.customers import services as customers
from costing.sell.customers.forms import CustomerFinder, CustomerForm
from costing.sell.customers.models import Customer
from costing.sell.customers.tables import CustomerTable
from costing.sell.jobs import selectors as jobs
from inventory.base import selectors as workshop
from inventory.models import Skin
from inventory.permits import Act, may
from inventory.web.forms import SureForm
from inventory.web.lists import SortedListPage as ListPage
from inventory.web.views import EntryView

NAMES = ("name", "postal_address", "electronic_address", "tax_number", "note")


class CustomerList(ListPage):
    table_class = CustomerTable
    finder_class = CustomerFinder
    title = "Customers"
    room = "Sales"
    lead = "Names and addresses are personal: keep only what you need."
    links = (("Sales", "sales"), ("Jobs", "jobs"), ("Who owes me", "owed"))
    new_name, new_label = "customer_new", "Add a customer"
    new_act = Act.GOODS
    empty_title = "No customer yet"
    empty_text = "One is written down with the first job or invoice, or here."

    def rows(self) -> QuerySet[Customer]:
        return customers_read.listed()

    def prepare(self, table: Any) -> None:
        table.owed = customers_read.owed_by(table.shown(), workshop.today())


@require_safe
def customer(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Customer, pk=pk)
    today = workshop.today()
    papers = customers_read.papers_of(row, today)
    theirs = list(jobs.listed().filter(customer=row))
    return render(
        request,
        "costing/sell/customers/customer.html",
        {
            "title": row.name,
            "room": "Sales",
            "trail": [("Sales", reverse("sales")), ("Customers", reverse("customers"))],
            "customer": row,
            "papers": papers,
            "owes": sum(paper.balance.left for paper in papers if paper.balance),
            "bought": sum(paper.sale.gross for paper in papers),
            "held": customers_read.deposits_of(row),
            "standings": list(jobs.standings(theirs, today).values()),
            "may_write": may(request.user, Act.GOODS),
            "may_price": may(request.user, Act.PRICES),
        },
    )


class CustomerNew(EntryView):
    form_class = CustomerForm
    template_name = "inventory/web/entry.html"
    title = "Add a customer"
    room = "Sales"
    cancel_name = "customers"
    customer: Customer | None = None

    def enter(self, form: forms.Form) -> Customer:
        found = form.cleaned_data
        return customers.write(
            customer=self.customer,
            by=self.request.user,
            request_key=found["request_key"],
            **{name: found[name] for name in NAMES},
        )

    def done_url(self) -> str:
        return reverse("customer", args=[self.made.pk])

    def said(self) -> str:
        return f"{self.made} is kept."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(trail=[("Customers", reverse("customers"))], **more)


class CustomerEdit(CustomerNew):
    lead = "Papers that are issued keep the name and address they were made out to."

    @cached_property
    def customer(self) -> Customer:  # type: ignore[override]  # here there is one
        return get_object_or_404(Customer, pk=self.kwargs["pk"])

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the customer
        return f"Change {self.customer}"

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), **{name: getattr(self.customer, name) for name in NAMES}}

    def cancel_url(self) -> str:
        return reverse("customer", args=[self.customer.pk])


class CustomerForget(EntryView):
    """Only for a customer without papers; the page says which ones stand in the way."""

    form_class = SureForm
    template_name = "costing/sell/customers/forget.html"
    room = "Sales"
    submit = "Forget"
    danger = True

    @cached_property
    def customer(self) -> Customer:
        return get_object_or_404(Customer, pk=self.kwargs["pk"])

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the customer
        return f"Forget {self.customer}?"

    def enter(self, form: forms.Form) -> None:
        self.name = self.customer.name
        customers.remove(customer=self.customer, by=self.request.user)

    def said(self) -> str:
        return f"{self.name} is forgotten."

    def done_url(self) -> str:
        return reverse("customers")

    def cancel_url(self) -> str:
        return reverse("customer", args=[self.customer.pk])

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        named = Skin.objects.filter(owner=Skin.Owner.CUSTOMER, customer__iexact=self.customer.name).order_by("tag")
        return super().get_context_data(
            trail=[("Customers", reverse("customers")), (self.customer.name, self.cancel_url())],
            kept=customers.papers_of(self.customer),
            tags=list(named.values_list("tag", flat=True)),
            **more,
        )
