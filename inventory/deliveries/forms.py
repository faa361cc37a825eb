"""Goods in: who brought it, the carriage, and a line for each material."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any, cast

from django import forms

from inventory import units
from inventory.base import checks
from inventory.base.checks import coins
from inventory.deliveries import services as deliveries
from inventory.errors import Refused
from inventory.materials.models import Material
from inventory.materials.services import to_base
from inventory.suppliers import selectors as suppliers
from inventory.suppliers.models import Supplier
from inventory.web.fields import MoneyBox, Suggest, UnitField
from inventory.web.filters import Finder, record_of, search
from inventory.web.forms import DayField, EntryForm, FigureField, NoteField, rows


class DeliveryForm(EntryForm):
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


class LineForm(forms.Form):
    """Packs of one material. An empty pack size means the usual one; an empty unit the material's own."""

    material = forms.ModelChoiceField(Material.objects.order_by("name", "code"), empty_label="Choose")
    packs = FigureField()
    pack_quantity = FigureField(required=False, label="Pack holds")
    unit = UnitField(own="own unit", required=False)
    pack_price = MoneyBox(label="Price a pack")

    def __init__(self, *args: Any, materials: Iterable[tuple[str, str]] = (), **options: Any) -> None:
        super().__init__(*args, **options)
        if chosen := list(materials):
            # One list for all rows: the field would otherwise ask the database again in each of them.
            field = cast("forms.ModelChoiceField[Material]", self.fields["material"])
            field.widget.choices = [("", "Choose"), *chosen]

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
            self._check(self.line(data))
        except Refused as refusal:
            self.add_error(refusal.field if refusal.field in self.fields else None, str(refusal))
        return data

    def line(self, data: dict[str, Any] | None = None) -> deliveries.Line:
        data = self.cleaned_data if data is None else data
        return deliveries.Line(data["material"], data["packs"], data["pack_quantity"], data["pack_price"], data["unit"])

    @staticmethod
    def _check(line: deliveries.Line) -> None:
        checks.positive(line.packs, "The number of packs", field="packs")
        checks.positive(line.pack_quantity, "What a pack holds", field="pack_quantity")
        coins(line.pack_price, "The price of a pack", field="pack_price")
        amount = to_base(line.material, line.packs * line.pack_quantity, line.unit)
        if amount <= Decimal(0):
            raise Refused(f"That is less than the least amount kept of {line.material.name}.", field="pack_quantity")


LineRows = rows(LineForm, empty=4)


def material_choices() -> list[tuple[str, str]]:
    """Every material with the unit it is kept in, so that a bare amount is not taken for another."""
    found = Material.objects.order_by("name", "code").values_list("pk", "name", "unit")
    return [(str(pk), f"{name} ({units.label(unit)})") for pk, name, unit in found]


class DeliveryFinder(Finder):
    looks_in = ("ref", "supplier__name")
    words = search("Reference or supplier")
    supplier = record_of(Supplier, empty_label="Anybody")
