"""Forms of recipes: the recipe's head, and one line of it."""

from __future__ import annotations

from typing import Any

from django import forms

from costing.forms.measures import MeasureForm
from costing.scaling import BASES
from inventory.forms.entry import EntryForm, FigureField
from inventory.forms.rows import rows
from inventory.models import Method

PERCENT = "percent_of_weight"


class VersionForm(EntryForm):
    """The next version: code and method stay what they are."""

    name = forms.CharField(
        max_length=80, required=False, label="What it is for", help_text="Potash-alum bath, hair on."
    )
    litres_per_skin = FigureField(
        label="Litres a skin", unit="L", required=False, help_text="Lets the shelf say how many skins it allows."
    )
    note = forms.CharField(max_length=200, required=False, help_text="What is new in this version.")


class RecipeForm(VersionForm):
    code = forms.CharField(max_length=20, help_text="Short, as you write it on the tub: R1.")
    method = forms.ChoiceField(choices=Method.choices, help_text="Decides the words of the care label.")
    field_order = ["code", "name", "method", "litres_per_skin", "note"]


class LineForm(MeasureForm):
    basis = forms.ChoiceField(choices=[("", "–"), *BASES.items()], required=False, label="Reckoned")
    step = forms.CharField(max_length=80, required=False)
    day = forms.IntegerField(
        required=False, min_value=0, max_value=3650, widget=forms.TextInput(attrs={"inputmode": "numeric"})
    )
    needed = {**MeasureForm.needed, "basis": "Choose what the amount is for, or empty the row."}

    def by_measure(self, found: dict[str, Any]) -> bool:
        return bool(found["basis"] != PERCENT)


LineRows = rows(LineForm, empty=4)
