"""The form of a new calendar link."""

from __future__ import annotations

from django import forms

from inventory.web.forms import EntryForm


class CalendarForm(EntryForm):
    name = forms.CharField(
        label="Where it will be read", max_length=40, help_text="The phone in the shed, the kitchen tablet."
    )
