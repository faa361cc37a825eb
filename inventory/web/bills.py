"""The supplier's bill on forms and pages: its field, the form that adds it later, and the kept file as an answer."""

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpResponse

from inventory.base import bills, selectors as workshop
from inventory.errors import Refused
from inventory.web.fields import Suggest
from inventory.web.filters import one_of
from inventory.web.forms import EntryForm, FigureField, NoteField

ACCEPTED = "application/pdf,image/jpeg,image/png,image/webp"
OFTEN = ("EUR", "GBP", "USD", "SEK", "NOK", "CAD", "AUD", "NZD", "CHF")

# Nothing in it may run or load, whatever it is; a PDF is handed over and not shown within our pages.
SHUT = {"X-Content-Type-Options": "nosniff", "Content-Security-Policy": "default-src 'none'; sandbox"}


class BillField(forms.FileField):
    """A photo or a PDF. Judged by its size here and by what is in it when it is kept; its name and type count for nothing."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("widget", forms.FileInput(attrs={"accept": ACCEPTED}))
        super().__init__(**{"label": "Their bill", "help_text": "A photo or a PDF.", **options})

    def clean(self, data: Any, initial: Any = None) -> bytes | None:
        file = super().clean(data, initial)
        if not isinstance(file, UploadedFile):
            return None
        try:
            bills.refuse_large(file.size or 0)
        except Refused as refusal:
            raise forms.ValidationError(str(refusal)) from None
        return bytes(file.read())


class Buys(EntryForm):
    """A form of something bought. Nobody is asked for tax who deducts none."""

    of_tax: tuple[str, ...] = ("tax_percent",)

    tax_percent = FigureField(
        label="Tax in it", unit="%", required=False, help_text="Deducted: what counts is the rest. Empty for none."
    )
    original_sum = FigureField(
        label="Paid in another currency",
        required=False,
        help_text="The sum on their bill. What you enter in your own money is what counts.",
    )
    original_currency = NoteField("Which currency", longest=3, widget=Suggest(lambda: OFTEN))

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        if not workshop.current().deducts_tax:
            for name in self.of_tax:
                self.fields.pop(name, None)


class BillForm(EntryForm):
    bill = BillField()


def with_bill() -> Any:
    """Narrows a list to what has a bill, or has none."""
    return one_of(
        [("yes", "kept"), ("no", "missing")],
        "Bill",
        method=lambda rows, _name, value: rows.filter(bill="") if value == "no" else rows.exclude(bill=""),
    )


def answer(name: str) -> HttpResponse:
    """A kept bill for those who are signed in; like every answer, kept by no browser."""
    try:
        content = bills.path(name).read_bytes()
    except FileNotFoundError:
        raise Http404 from None
    ending = name.rpartition(".")[2]
    how = "inline" if ending == "jpg" else "attachment"
    headers = {**SHUT, "Content-Disposition": f'{how}; filename="bill-{name[:8]}.{ending}"'}
    return HttpResponse(content, content_type=bills.KINDS[ending], headers=headers)
