"""Forms of jobs: what was agreed, telling that it is ready; and what the list can be narrowed by."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from costing.make.batches.stays.forms import told_apart
from costing.sell.jobs import selectors as jobs
from costing.sell.jobs.models import Job
from inventory.web.fields import MoneyBox, Suggest
from inventory.web.filters import Finder, one_of, search
from inventory.web.forms import DayField, EntryForm, NoteField

# No tag can begin so.
COMES_IN = "~now"
OPEN = [("open", "All not handed over")]


def usual_work() -> list[str]:
    return list(Job.objects.order_by("work").values_list("work", flat=True).distinct()[:50])


def usual_ends() -> list[str]:
    return ["the customer wants it back as it is", "not worth going on", "nothing of it is left"]


class SkinHereField(forms.ChoiceField):
    """A customer's skin that is here without a job. Whether it may be named is the service's to judge, so that a form
    sent twice is answered with what its first sending made."""

    def __init__(self, **options: Any) -> None:
        super().__init__(choices=self.offered, **options)

    @staticmethod
    def offered() -> list[tuple[str, str]]:
        return [(COMES_IN, "It comes in now"), *((skin.tag, told_apart(skin)) for skin in jobs.waiting_skins())]

    def valid_value(self, value: str) -> bool:
        return True


class AgreedForm(EntryForm):
    """What may be put right until the hand-over."""

    work = forms.CharField(
        label="Work agreed",
        max_length=200,
        widget=Suggest(usual_work),
        help_text="What you will do: taw with the hair on, repair, comb.",
    )
    price = MoneyBox(help_text="For the whole work, as you agree on it.")
    deposit = MoneyBox(required=False, help_text="Asked before you begin. Empty: the share in your terms; 0 for none.")
    ready_by = DayField(required=False, initial=None, label="Ready by")
    condition = NoteField(
        "Condition on receipt",
        longest=500,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What you saw with the customer: slipping hair, cuts, beetle, and what you do not promise.",
    )
    note = NoteField()


class ReadyForm(EntryForm):
    on = DayField(label="Customer told on", help_text="The free days of storage run from here.")


class JobFinder(Finder):
    looks_in = ("number", "customer__name", "skin__tag", "skin__species", "work")
    words = search("Number, customer, tag or work")
    state = one_of([*OPEN, *jobs.STATES.items()], "Status", method="by_state")

    def by_state(self, rows: QuerySet[Job], _name: str, value: str) -> QuerySet[Job]:
        return jobs.in_state(rows, value)
