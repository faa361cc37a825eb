"""The form of money that comes in or goes back, and what the list of payments can be narrowed by."""

from django import forms

from costing.sell.payments.models import Payment
from inventory.web.fields import MoneyBox
from inventory.web.filters import Finder, one_of, search, year_of
from inventory.web.forms import DayField, EntryForm, NoteField


class PaymentForm(EntryForm):
    amount = MoneyBox()
    how = forms.ChoiceField(choices=Payment.How.in_money(), label="How", widget=forms.RadioSelect, initial="cash")
    on = DayField(label="Received on")
    note = NoteField()


class RefundForm(PaymentForm):
    on = DayField(label="Paid back on")


class PaymentFinder(Finder):
    looks_in = ("number", "sale__number", "job__number", "customer__name", "note")
    words = search("Number, paper or who")
    year = year_of(Payment)
    how = one_of(Payment.How.choices, empty_label="Any way")
