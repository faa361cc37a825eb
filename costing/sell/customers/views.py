"""Pages of customers: the list, one with papers, jobs and what they owe, a new one, a changed one, forgetting one."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_safe

from costing.sell.customers import selectors as customers_read, services as customers
from costing.sell.customers.forms import CustomerFinder, CustomerForm
from costing.sell.customers.models import Customer
from costing.sell.customers.tables import CustomerTable
from costing.sell.jobs import selectors as jobs
from costing.sell.payments import selectors as payments
from inventory.base import selectors as workshop
from inventory.permits import Act, may
from inventory.web.lists import ListPage, part
from inventory.web.trail import above, page
from inventory.web.views import About, EntryView


class CustomerList(ListPage):
    table_class = CustomerTable
    finder_class = CustomerFinder
    rows = staticmethod(customers_read.listed)
    title = "Customers"
    trail = ("sales",)
    lead = "Names and addresses are personal: keep only what you need."
    links = ("jobs",)
    money_links = ("owed",)
    action = ("Add a customer", "customer_new")
    empty_title = "No customer yet"
    empty_text = "One is written down with the first job or invoice, or here."

    def prepare(self, table: Any) -> None:
        table.owed = customers_read.owed_by(table.shown(), workshop.today())


@require_safe
def customer(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Customer, pk=pk)
    today = workshop.today()
    papers = part(request, customers_read.papers_of(row), "papers")
    theirs = part(request, jobs.listed().filter(customer=row), "jobs")
    return page(
        request,
        "costing/sell/customers/customer.html",
        row.name,
        above(row),
        customer=row,
        papers=papers,
        balances=payments.balanced(papers.page, today),
        owes=customers_read.owed_by([row], today)[row.pk],
        bought=customers_read.billed(row),
        held=customers_read.deposits_of(row),
        jobs=theirs,
        standings=list(jobs.standings(theirs.page, today).values()),
        may_write=may(request.user, Act.GOODS),
        may_price=may(request.user, Act.PRICES),
    )


class CustomerNew(EntryView):
    form_class = CustomerForm
    title = "Add a customer"
    trail = ("sales", "customers")
    cancel_page = "customers"
    opens_made = True
    success_message = "{self.made} is saved."

    def enter(self, form: forms.Form) -> Customer:
        return customers.write(customer=None, **self.sent(form))


class CustomerEdit(About[Customer]):
    model = Customer
    form_class = CustomerForm
    title = "Change {self.thing}"
    lead = "Papers that are issued keep the name and address they were made out to."
    prefilled = ("name", "postal_address", "country", "electronic_address", "tax_number", "relief", "language", "note")
    success_message = "{self.made} is saved."

    def enter(self, form: forms.Form) -> Customer:
        return customers.write(customer=self.thing, **self.sent(form))


class CustomerForget(About[Customer]):
    """Only for a customer without papers; the page says which ones stand in the way."""

    model = Customer
    template_name = "costing/sell/customers/forget.html"
    title = "Forget {self.thing}?"
    submit = "Forget"
    danger = True
    success_message = "{self.thing.name} is forgotten."

    def enter(self, form: forms.Form) -> None:
        customers.remove(customer=self.thing, by=self.request.user)

    def get_success_url(self) -> str:
        return reverse("customers")

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        kept, tags = customers.papers_of(self.thing), customers_read.tags_of(self.thing)
        return super().get_context_data(kept=kept, tags=tags, **more)
