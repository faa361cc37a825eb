"""The page of an e-invoice, with its three files to keep."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from costing.models import Sale
from inventory.errors import Refused
from inventory.web.trail import page, to
from workshop.documents.einvoice import files, selectors
from workshop.documents.einvoice.forms import EInvoiceForm


@require_safe
def einvoice(request: HttpRequest, number: str) -> HttpResponse:
    """What can be sent, and what is still missing for it."""
    sale = get_object_or_404(Sale.objects.select_related("credits"), number=number)
    form = EInvoiceForm(request.GET)
    form.asks_of(selectors.kinds(sale))
    missing = ""
    try:
        selectors.einvoice(sale, **form.options())
    except Refused as refusal:
        missing = str(refusal)
    return page(
        request,
        "workshop/documents/einvoice.html",
        f"E-invoice {sale.number}",
        to(sale),
        sale=sale,
        form=form,
        missing=missing,
        syntaxes=files.SYNTAXES,
    )


@require_safe
def download(request: HttpRequest, number: str, syntax: str) -> HttpResponse:
    """One file, ?untaxed=K&buyer_reference=4711."""
    sale = get_object_or_404(Sale, number=number)
    made = files.made(sale, syntax, **EInvoiceForm(request.GET).options())
    answer = HttpResponse(made.content, content_type=made.content_type)
    answer["Content-Disposition"] = f'attachment; filename="{made.name.replace("/", "-")}"'
    return answer
