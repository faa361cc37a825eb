"""Goods in: who brought it, the carriage, and a line for each material."""

from collections.abc import Sequence
from typing import Any

from django import forms

from inventory import units
from inventory.base import selectors as workshop
from inventory.deliveries import services as deliveries
from inventory.errors import Refused
from inventory.materials.forms import MaterialField
from inventory.materials.models import Material
from inventory.suppliers import selectors as suppliers
from inventory.suppliers.models import Supplier
from inventory.web.bills import BillField, Buys, with_bill
from inventory.web.fields import DueField, HowField, MoneyBox, Suggest, UnitField
from inventory.web.filters import Finder, record_of, search
from inventory.web.forms import DayField, FigureField, NoteField, rows


class DeliveryForm(Buys):
    more = ("how", "due_on", "original_sum", "original_currency", "bill")
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
    how = HowField()
    due_on = DueField()
    again = forms.BooleanField(required=False, label="Both came: keep both", widget=forms.HiddenInput)

    def ask_again(self) -> None:
        """Ask whether one that looks like another came, too."""
        self.fields["again"].widget = forms.CheckboxInput()


class LineForm(forms.Form):
    """Packs of one material. An empty pack size means the usual one; an empty unit the material's own."""

    material = MaterialField(required=True, empty="Choose")
    packs = FigureField()
    pack_quantity = FigureField(required=False, label="Pack holds")
    unit = UnitField(own="own unit", required=False)
    pack_price = MoneyBox(label="Price a pack")
    tax_percent = FigureField(required=False, label="Other tax rate", unit="%")

    def __init__(self, *args: Any, materials: Sequence[Material] = (), **options: Any) -> None:
        super().__init__(*args, **options)
        if not workshop.current().deducts_tax:
            del self.fields["tax_percent"]
        self.fields["material"] = MaterialField(materials, required=True, empty="Choose")

    def clean(self) -> dict[str, Any]:
        """The service's own checks, here so that a refusal stands beside the box of its line."""
        data = super().clean() or {}
        material, pack = data.get("material"), data.get("pack_quantity")
        if self.errors or material is None:
            return data
        if pack is None:
            if material.pack_quantity is None or data.get("unit"):
                self.add_error("pack_quantity", f"How much does one pack of {material.name} hold?")
                return data
            data["pack_quantity"] = units.from_base(material.pack_quantity, material.unit)
        data["unit"] = data.get("unit") or material.unit
        try:
            deliveries.delivered(deliveries.Line(**data))
        except Refused as refusal:
            self.add_error(refusal.field if refusal.field in self.fields else None, str(refusal))
        return data


LineRows = rows(LineForm, empty=4)


class DeliveryFinder(Finder):
    looks_in = ("ref", "supplier__name")
    words = search("Reference or supplier")
    supplier = record_of(Supplier, empty_label="Anybody")
    bill = with_bill()
