"""Forms of stock on the shelf: opening stock, a stocktake of one material, goods that leave; and the list's filters."""

from typing import Any

from django import forms

from inventory.ledger.models import OUTWARD_REASONS, Kind
from inventory.materials.forms import MeasuredForm
from inventory.places.models import Place
from inventory.web.fields import MoneyBox
from inventory.web.filters import Finder, record_of, search
from inventory.web.forms import DayField, FigureField, NoteField


class ShelfFinder(Finder):
    looks_in = ("name", "code", "substance")
    words = search("Name or code")
    place = record_of(Place, empty_label="Anywhere")


class OpeningForm(MeasuredForm):
    """Opening stock: what was on the shelf when the books began."""

    on = DayField(label="Day")
    quantity = FigureField(label="On the shelf")
    value = MoneyBox(label="What it cost", help_text="All of it together, carriage included.")
    field_order = ("on", "quantity", "unit", "value")


class CountForm(MeasuredForm):
    """What is really there; the books' figure is not shown, so that the eye is not led."""

    on = DayField(label="Day")
    counted = FigureField(label="Counted", help_text="Weigh or count first, then type. Nothing there is 0.")
    reason = NoteField("Remark")
    field_order = ("on", "counted", "unit", "reason")


class StockOutForm(MeasuredForm):
    """Goods that leave the shelf for no piece."""

    kind = forms.ChoiceField(
        label="Why", widget=forms.RadioSelect, choices=[(kind.value, kind.label) for kind in OUTWARD_REASONS]
    )
    quantity = FigureField(label="How much")
    on = DayField(label="Day")
    reason = NoteField("Reason", help_text="What spoiled it, to whom it was given, what it was for.")
    field_order = ("kind", "quantity", "unit", "on", "reason")

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("kind") not in (None, "", Kind.SOLD) and not found.get("reason") and "reason" not in self.errors:
            self.add_error("reason", "Say why: your books may be asked.")
        return found
