"""The form of money paid on a bill."""

from django import forms

from inventory.base.models import How
from inventory.web.fields import MoneyBox
from inventory.web.forms import DayField, EntryForm, NoteField


class BillPaymentForm(EntryForm):
    amount = MoneyBox()
    how = forms.ChoiceField(choices=How.in_money(), label="How", widget=forms.RadioSelect, initial=How.BANK)
    on = DayField(label="Paid on")
    note = NoteField()
