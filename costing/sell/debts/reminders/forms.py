"""The form of a reminder."""

from django import forms

from costing.sell.debts.reminders.models import Reminder
from costing.sell.sales.terms.rules import LONGEST
from inventory.web.forms import DayField, EntryForm, NoteField


class ReminderForm(EntryForm):
    tone = forms.ChoiceField(choices=Reminder.Tone.choices, widget=forms.RadioSelect)
    on = DayField(label="Date of the letter")
    words = NoteField(
        "Other words for this letter",
        longest=LONGEST,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Empty: those of the tone, as the terms of selling have them.",
    )

    more = ("words",)
