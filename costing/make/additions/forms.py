"""The form of an addition that is left out, and what it shares with that of one put in."""

from django import forms

from inventory.web.forms import DayField, EntryForm, MomentField


class TapForm(EntryForm):
    """One tap sends the moment; the form with the details sends the day instead."""

    on = DayField(required=False, initial=None, label="Day", help_text="Empty: today.")
    at = MomentField(required=False)
    next = forms.CharField(widget=forms.HiddenInput, required=False)


class SkipForm(TapForm):
    reason = forms.CharField(max_length=200, label="Why it is left out")
    field_order = ["reason", "on"]
