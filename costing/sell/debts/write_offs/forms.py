"""The form of a bad debt."""

from django import forms

from inventory.web.fields import MoneyBox
from inventory.web.forms import DayField, EntryForm


class WriteOffForm(EntryForm):
    amount = MoneyBox()
    on = DayField(label="Written off on")
    reason = forms.CharField(max_length=200, label="Why it will not be paid", help_text="Stays in the books beside it.")
