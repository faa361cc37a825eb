"""Forms of skins upstairs: writing one off, and the price at which softening is judged."""

from __future__ import annotations

from django import forms

from inventory.forms.entry import DayField, EntryForm
from inventory.forms.measures import MoneyBox, Suggest


def usual_reasons() -> list[str]:
    return ["hair slipped", "spoiled in the heap", "torn", "eaten by beetle or mouse"]


class LoseForm(EntryForm):
    on = DayField(label="Lost on", help_text="It bears the costs of this day, none after.")
    reason = forms.CharField(max_length=200, widget=Suggest(usual_reasons))


class AskedForm(forms.Form):
    """A question, not an entry: nothing of it is kept."""

    price = MoneyBox(required=False, min_value=0, label="If it sold at")
