"""The forms of an opening balance and of money moved between accounts."""

from django import forms

from inventory.base.models import How
from inventory.web.fields import MoneyBox
from inventory.web.forms import DayField, EntryForm, FigureField, NoteField


class OpeningForm(EntryForm):
    account = forms.ChoiceField(choices=How.in_money(), widget=forms.RadioSelect, initial=How.CASH)
    on = DayField(label="At the beginning of")
    amount = FigureField(label="Balance", help_text="Below zero where it was overdrawn.")


class TransferForm(EntryForm):
    amount = MoneyBox()
    source = forms.ChoiceField(label="From", required=False, choices=[*How.in_money(), ("", "Me: put in")])
    target = forms.ChoiceField(
        label="To", required=False, choices=[*How.in_money(), ("", "Me: taken out")], initial=How.BANK
    )
    on = DayField(label="On")
    words = NoteField("What it was")
