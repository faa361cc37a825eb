"""Forms of a batch's steps: one log entry, and planning back from a day."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms

from costing.models import RecipeVersion, StepMark
from costing.selectors import recipes
from inventory.errors import Refused
from inventory.forms.entry import DayField, EntryForm, FigureField, MomentField
from inventory.services import checks


class StepForm(EntryForm):
    """One tap sends kind, minutes and the moment; the form with the details sends the day instead of the moment."""

    on = DayField(required=False, label="Day", help_text="Empty: today.")
    minutes = FigureField(
        required=False, unit="min", help_text="Of your hands, for the whole batch. Empty: none are logged."
    )
    note = forms.CharField(max_length=200, required=False)
    kind = forms.CharField(widget=forms.HiddenInput)
    at = MomentField(required=False)
    next = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, kind: str, **options: Any) -> None:
        super().__init__(*args, **options)
        if kind == StepMark.Kind.SKIPPED:
            del self.fields["minutes"]


class BackPlanForm(forms.Form):
    """Asked by GET: nothing is written."""

    version: forms.ModelChoiceField[RecipeVersion] = forms.ModelChoiceField(
        recipes.versions(), label="Recipe and version", empty_label="Choose one"
    )
    finish = DayField(label="Finished by", help_text="The fair, the birthday, the day it is to be fetched.")
    heads = forms.IntegerField(
        label="How many skins",
        min_value=1,
        max_value=1000,
        initial=1,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )

    def clean_finish(self) -> date:
        finish: date = self.cleaned_data["finish"]
        try:
            return checks.day(finish, field="finish", plan=True, posts=False)
        except Refused as refusal:
            raise forms.ValidationError(str(refusal)) from None
