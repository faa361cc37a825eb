"""Goods in: who brought it, the carriage, and a line for each material."""

from typing import Any

from django import forms

from inventory.base import selectors as workshop
from inventory.deliveries import services as deliveries
from inventory.orders.forms import OrderField, PacksForm
from inventory.suppliers import selectors as suppliers
from inventory.suppliers.models import Supplier
from inventory.web.bills import BillField, Buys, with_bill
from inventory.web.fields import DueField, HowField, MoneyBox, Suggest
from inventory.web.filters import Finder, record_of, search
from inventory.web.forms import DayField, FigureField, NoteField, rows


class DeliveryForm(Buys):
    more = ("order", "how", "due_on", "original_sum", "original_currency", "bill")
    of_tax = ("tax_percent", "with_tax")
    field_order = ("request_key", "supplier", "on", "ref", "carriage", "tax_percent", "with_tax")

    tax_percent = FigureField(
        label="Tax on their bill",
        unit="%",
        required=False,
        help_text="It is deducted. A line may have a rate of its own.",
    )
    tax_percent.half = False
    with_tax = forms.BooleanField(required=False, label="Carriage and prices have the tax in them")
    bill = BillField(required=False)
    supplier = forms.CharField(
        max_length=80,
        widget=Suggest(suppliers.supplier_names),
        help_text="One from the list, or a new name as you want it kept.",
    )
    on = DayField(label="Received on")
    ref = NoteField("Reference", longest=40, help_text="Number on their bill or slip.")
    carriage = MoneyBox(
        required=False,
        help_text="Postage, freight and duty for the whole delivery. It is allocated to the lines by value.",
    )
    order = OrderField(
        required=False, label="By order", help_text="What it was ordered by: less of that is outstanding then."
    )
    how = HowField()
    due_on = DueField()
    again = forms.BooleanField(required=False, label="Both came: keep both", widget=forms.HiddenInput)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        order = self.fields.get("order")
        if isinstance(order, OrderField) and not order.offer() and not self.data.get("order"):
            del self.fields["order"]

    def ask_again(self) -> None:
        """Ask whether one that looks like another came, too."""
        self.fields["again"].widget = forms.CheckboxInput()


class LineForm(PacksForm):
    tax_percent = FigureField(required=False, label="Other tax rate", unit="%")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        if not workshop.current().deducts_tax:
            del self.fields["tax_percent"]

    def judge(self, line: dict[str, Any]) -> None:
        deliveries.delivered(deliveries.Line(**line))


LineRows = rows(LineForm, empty=4)


class DeliveryFinder(Finder):
    looks_in = ("ref", "supplier__name")
    words = search("Reference or supplier")
    supplier = record_of(Supplier, empty_label="Anybody")
    bill = with_bill()
