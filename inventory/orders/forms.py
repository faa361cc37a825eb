"""An order as it is typed: to whom, when, and packs of each material; and what becomes of it later."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory import formats, units
from inventory.errors import Refused
from inventory.materials.forms import MaterialField
from inventory.materials.models import Material
from inventory.orders import selectors as orders_read, services as orders
from inventory.orders.models import Order
from inventory.suppliers import selectors as suppliers
from inventory.suppliers.models import Supplier
from inventory.web.fields import Judged, MoneyBox, Suggest, UnitField
from inventory.web.filters import Finder, one_of, record_of, search
from inventory.web.forms import DayField, EntryForm, FigureField, NoteField, rows

OPEN, DONE = "open", "done"


class PacksForm(forms.Form):
    """Packs of one material. An empty pack size means the usual one; an empty unit the material's own."""

    material = MaterialField(required=True, empty="Choose")
    packs = FigureField()
    pack_quantity = FigureField(places=units.TYPED_PLACES, required=False, label="Pack holds")
    unit = UnitField(own="own unit", required=False)
    pack_price = MoneyBox(label="Price a pack")

    def __init__(self, *args: Any, materials: Sequence[Material] = (), **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["material"] = MaterialField(materials, required=True, empty="Choose")

    def judge(self, line: dict[str, Any]) -> None:
        """The service's own checks of a line."""
        raise NotImplementedError

    def clean(self) -> dict[str, Any]:
        """Judged here already, so that a refusal stands beside the box of its line."""
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
            self.judge(data)
        except Refused as refusal:
            self.add_error(refusal.field if refusal.field in self.fields else None, str(refusal))
        return data


class OrderLineForm(PacksForm):
    pack_price = MoneyBox(label="Expected price a pack", required=False)

    def judge(self, line: dict[str, Any]) -> None:
        orders.ordered(orders.Line(**line))


OrderLineRows = rows(OrderLineForm)


class StatedForm(EntryForm):
    """What the supplier said of an order."""

    due_on = DayField(
        label="Due on", required=False, initial=None, help_text="The day they stated. From then on it is overdue."
    )
    ref = NoteField("Reference", longest=40, help_text="Their number of the order.")
    note = NoteField()


class OrderForm(StatedForm):
    field_order = ("request_key", "supplier", "on", "due_on", "ref", "note")
    more = ("ref", "note")

    supplier = forms.CharField(
        max_length=80,
        widget=Suggest(suppliers.supplier_names),
        help_text="One from the list, or a new name as you want it kept.",
    )
    on = DayField(label="Ordered on")


class CloseForm(EntryForm):
    on = DayField(label="Day")
    reason = forms.CharField(max_length=200, label="Reason", help_text="Sold out, sent elsewhere, entered by mistake.")


class OrderField(Judged, forms.ChoiceField):
    """One of the orders of which something is still to come, or none. Cleans to the order."""

    def offer(self) -> bool:
        """Read the choices, once for a form; whether there are any."""
        found = [(row.number, f"{row}: {row.supplier}, {formats.day(row.on)}") for row in orders_read.awaited()]
        self.choices = [("", "None"), *found]
        return bool(found)

    def clean(self, value: object) -> Order | None:
        number = super().clean(value)
        if not number:
            return None
        order = orders_read.orders().filter(number=number).first()
        if order is None:
            raise ValidationError(f"There is no order {number[:20]}. Choose one from the list.")
        return order


class OrderFinder(Finder):
    looks_in = ("number", "ref", "supplier__name")
    words = search("Number, reference or supplier")
    state = one_of([(OPEN, "Still to come"), (DONE, "Delivered or closed")], "State", method="by_state")
    supplier = record_of(Supplier, empty_label="Anybody")

    def by_state(self, found: Any, _name: str, value: str) -> Any:
        return found.filter(awaited=value == OPEN)
