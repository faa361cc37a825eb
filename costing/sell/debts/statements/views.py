"""The page of a customer's statement of account."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from costing.sell.customers.models import Customer
from costing.sell.debts.statements import forms, selectors as statements
from inventory.web.trail import page, to


@require_safe
def statement(request: HttpRequest, pk: int) -> HttpResponse:
    """From ?since=2025-01-01 to ?until=2025-03-31; this year up to today where the address names none."""
    customer = get_object_or_404(Customer, pk=pk)
    form = forms.asked(request.GET)
    return page(
        request,
        "costing/sell/debts/statement.html",
        "Statement of account",
        to(customer),
        customer=customer,
        form=form,
        account=statements.account(customer, *form.period()) if form.is_valid() else None,
    )
