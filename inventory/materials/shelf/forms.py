"""What the lists of the ground floor can be narrowed by: words, and one or two choices."""

from __future__ import annotations

from typing import Any

import django_filters
from django import forms

from inventory.base import selectors as workshop
from inventory.ledger.models import OUTWARD_REASONS, Kind
from inventory.materials.forms import _measured_by
from inventory.materials.models import Material
from inventory.places.models import Place
from inventory.web.fields import MoneyBox, UnitField
from inventory.web.forms import DayField, EntryForm, FigureField, Finder, words


class ShelfFinder(Finder):
    looks_in = ("name", "code", "substance")
    words = words("Name or code")
    place = django_filters.ModelChoiceFilter(queryset=Place.objects.all(), empty_label="Anywhere")


class OpeningForm(EntryForm):
    """What was on the shelf when the books began."""

    on = DayField(label="Day", initial=workshop.today)
    quantity = FigureField(label="On the shelf")
    unit = UnitField()
    value = MoneyBox(label="What it cost", help_text="All of it together, carriage included.")

    def __init__(self, *args: Any, material: Material, **options: Any) -> None:
        super().__init__(*args, **options)
        _measured_by(self, material)


class CountForm(EntryForm):
    """What is really there; the books' figure is not shown, so that the eye is not led."""

    on = DayField(label="Day", initial=workshop.today)
    counted = FigureField(label="Counted", help_text="Weigh or count first, then type. Nothing there is 0.")
    unit = UnitField()
    reason = forms.CharField(max_length=200, required=False, label="Remark")

    def __init__(self, *args: Any, material: Material, **options: Any) -> None:
        super().__init__(*args, **options)
        _measured_by(self, material)


class StockOutForm(EntryForm):
    """Goods that leave the shelf for no piece."""

    kind = forms.ChoiceField(
        label="Why", widget=forms.RadioSelect, choices=[(kind.value, kind.label) for kind in OUTWARD_REASONS]
    )
    quantity = FigureField(label="How much")
    unit = UnitField()
    on = DayField(label="Day", initial=workshop.today)
    reason = forms.CharField(
        max_length=200,
        required=False,
        label="Reason",
        help_text="What spoiled it, to whom it was given, what it was for.",
    )

    def __init__(self, *args: Any, material: Material, **options: Any) -> None:
        super().__init__(*args, **options)
        _measured_by(self, material)

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("kind") not in (None, "", Kind.SOLD) and not found.get("reason") and "reason" not in self.errors:
            self.add_error("reason", "Say why: your books may be asked.")
        return found
