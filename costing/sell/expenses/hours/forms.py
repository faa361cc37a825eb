"""Forms of money and hours beside the pieces: what came in, what selling and the year cost, hours that no skin bears."""

from __future__ import annotations

import django_filters
from django import forms

from costing.sell.expenses.hours.models import SideHours
from inventory.web.forms import DayField, EntryForm, FigureField, _YearFinder, words


class HoursForm(EntryForm):
    kind = forms.ChoiceField(choices=SideHours.Kind.choices, label="At", widget=forms.RadioSelect)
    minutes = FigureField(
        label="Minutes", unit="min", help_text="Of one day, or of a whole month or year: 22 h are 1320."
    )
    on = DayField(label="Day", help_text="Of more than one day, the last.")
    words = forms.CharField(max_length=80, required=False, label="What you did")


class HoursFinder(_YearFinder):
    model = SideHours
    looks_in = ("words",)
    words = words("What you did")
    kind = django_filters.ChoiceFilter(choices=SideHours.Kind.choices, empty_label="Any", label="At")
