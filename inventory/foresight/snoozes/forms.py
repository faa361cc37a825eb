"""What is asked before a material is set aside."""

from django import forms

from inventory.web.forms import DayField, EntryForm


class SnoozeForm(EntryForm):
    until = DayField(label="Until", initial=None, help_text="On this day it is back in its place.")
    reason = forms.CharField(
        max_length=200, label="Reason", help_text="Why it can wait: a cheaper offer next month, no bath before spring."
    )
