"""Forms of money and hours beside the pieces: what came in, what selling and the year cost, hours that no skin bears."""

from __future__ import annotations

import django_filters
from django import forms

from costing.sell.payments.models import Payment
from inventory.web.fields import MoneyBox
from inventory.web.forms import DayField, EntryForm, _YearFinder, words


class PaymentForm(EntryForm):
    amount = MoneyBox()
    how = forms.ChoiceField(choices=Payment.How.choices, label="How", widget=forms.RadioSelect, initial="cash")
    on = DayField(label="Came on")
    note = forms.CharField(max_length=200, required=False)


class PaidBackForm(PaymentForm):
    on = DayField(label="Paid back on")


class PaymentFinder(_YearFinder):
    model = Payment
    looks_in = ("number", "sale__number", "job__number", "customer__name", "note")
    words = words("Number, paper or who")
    how = django_filters.ChoiceFilter(choices=Payment.How.choices, empty_label="Any way")
