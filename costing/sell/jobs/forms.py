"""Forms of jobs: what was agreed, telling that it is ready; and what the list can be narrowed by."""

from django import forms
from django.db.models import QuerySet

from costing.sell.jobs import selectors as jobs
from costing.sell.jobs.models import Job
from costing.sell.pricing.forms import TypedPrice
from inventory.web.fields import MoneyBox, Suggest, used
from inventory.web.filters import Finder, one_of, search
from inventory.web.forms import DayField, EntryForm, NoteField


class AgreedForm(EntryForm):
    """What may be put right until the hand-over."""

    work = forms.CharField(label="Work agreed", max_length=200, widget=Suggest(used(Job, "work")))
    price = TypedPrice(usual=False, help_text="For the whole work.")
    deposit = MoneyBox(required=False, help_text="Empty: your terms.")
    ready_by = DayField(required=False, initial=None, label="Ready by")
    condition = NoteField(
        "Condition on receipt",
        longest=500,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="What you both saw; what is not promised.",
    )
    note = NoteField()


class ReadyForm(EntryForm):
    on = DayField(label="Customer told on", help_text="The free days of storage run from here.")


class JobFinder(Finder):
    looks_in = ("number", "customer__name", "skin__tag", "skin__species", "work")
    words = search("Number, customer, tag or work")
    state = one_of([("open", "All not handed over"), *jobs.STATES.items()], "Status", method="by_state")

    def by_state(self, rows: QuerySet[Job], _name: str, value: str) -> QuerySet[Job]:
        return jobs.in_state(rows, value)
