"""The form of non-production hours, and what their list can be narrowed by."""

from django import forms

from costing.sell.expenses.hours.models import SideHours
from inventory.web.filters import Finder, one_of, search, year_of
from inventory.web.forms import DayField, EntryForm, FigureField, NoteField


class HoursForm(EntryForm):
    kind = forms.ChoiceField(
        choices=SideHours.Kind.choices, label="At", widget=forms.RadioSelect, initial=SideHours.Kind.PAPERS
    )
    minutes = FigureField(
        label="Minutes", unit="min", help_text="Of one day, or of a whole month or year: 22 h are 1320."
    )
    on = DayField(label="Day", help_text="Of more than one day, the last.")
    words = NoteField("What you did", longest=80)


class HoursFinder(Finder):
    looks_in = ("words",)
    words = search("What you did")
    year = year_of(SideHours)
    kind = one_of(SideHours.Kind.choices, "At")
