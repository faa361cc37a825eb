"""Forms of the roof: the workshop itself, closing the books, people."""

from __future__ import annotations

from django import forms

from inventory import money
from inventory.models import CostFlow
from inventory.permits import ROLES
from inventory.web.forms import DayField, EntryForm


class WorkshopForm(EntryForm):
    name = forms.CharField(label="Name of the workshop", max_length=80)
    maker = forms.CharField(label="Maker", max_length=80, required=False, help_text="Printed on labels.")
    postal_address = forms.CharField(
        label="Postal address", max_length=200, required=False, help_text="On one line. Labels must carry it."
    )
    electronic_address = forms.CharField(
        label="Electronic address",
        max_length=120,
        required=False,
        help_text="E-mail or web address. Labels must carry it.",
    )
    currency = forms.ChoiceField(label="Currency", help_text="Fixed by the first entry of money.")
    cost_flow = forms.ChoiceField(
        label="Cost of what leaves the shelf",
        choices=CostFlow.choices,
        help_text="Weighted average mixes prices; first in, first out takes the oldest lot's. Keep one for a whole year.",
    )
    on = DayField(
        label="Stand the calendar still on", required=False, help_text="For a demonstration. Empty: the real day."
    )

    def __init__(self, *args: object, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        field = self.fields["currency"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101 - narrows the type
        field.choices = [(code, code) for code in money.currencies()]


class CloseForm(EntryForm):
    to = DayField(
        label="Closed to and with",
        required=False,
        help_text="Nothing can be written on or before this day. Empty opens the books.",
    )


class PersonForm(EntryForm):
    name = forms.CharField(label="Sign-in name", max_length=30)
    role = forms.ChoiceField(
        choices=[(role, role.capitalize()) for role in ROLES],
        help_text="Owner: everything. Helper: shed and goods. Bookkeeper: goods, counts and closing.",
    )


class OwnPasswordForm(EntryForm):
    password = forms.CharField(
        label="New password",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="At least ten characters. Several plain words are easier to remember than one odd one.",
    )
