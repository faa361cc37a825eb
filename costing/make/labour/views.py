"""Pages of labour: the log, logging minutes, reversing a line."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import Model, QuerySet
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property

from costing.make.batches.models import Batch
from costing.make.frames import selectors as frames
from costing.make.labour import selectors as labour_read, services as labour
from costing.make.labour.forms import LabourFinder, LabourForm
from costing.make.labour.models import LabourLine
from costing.make.labour.tables import LabourTable
from inventory import formats
from inventory.permits import Act
from inventory.web.lists import ListPage
from inventory.web.questions import Odd
from inventory.web.reversals import Reversal
from inventory.web.trail import Step, address, to
from inventory.web.views import EntryView


class LabourList(ListPage):
    table_class = LabourTable
    finder_class = LabourFinder
    rows = staticmethod(labour_read.listed)
    title = "Work"
    trail = ("batches",)
    lead = "Every minute at the tub and the bench. Lines are reversed, never changed."
    action = ("Log work", "labour_new")
    needs = Act.SHED
    empty_title = "No work logged yet"
    empty_text = (
        "Time is most of what a piece costs. Log what you did today: the task, the minutes, on which batch or skins."
    )


class LabourNew(EntryView):
    """`?batch=` and `?skin=` choose beforehand; with a batch only its skins are offered."""

    form_class = LabourForm
    title = "Log work"
    submit = "Log it"
    cancel_page = "labour"
    success_message = "{self.minutes} min {self.made.task} are logged."
    made: LabourLine

    @cached_property
    def batch(self) -> Batch | None:
        number = self.request.GET.get("batch")
        return get_object_or_404(Batch, number=number) if number else None

    @property
    def minutes(self) -> str:
        return formats.plain(self.made.minutes)

    def get_trail(self) -> tuple[Step, ...]:
        return to(self.batch) if self.batch else ("batches", "labour")

    def form_options(self) -> dict[str, Any]:
        skins, batches = labour_read.workable(self.batch)
        return {"skins": list(skins), "batches": batches}

    def get_initial(self) -> dict[str, Any]:
        return {"batch": self.batch.number if self.batch else None, "skins": self.request.GET.getlist("skin")}

    def odd(self, form: forms.Form) -> Iterable[Odd]:
        yield form["minutes"], labour_read.odd_minutes(form.cleaned_data["minutes"])

    def enter(self, form: forms.Form) -> LabourLine:
        found = self.sent(form)
        found |= {"paid": found["paid"] or Decimal(0), "laced": found["laced"] or None}
        return labour.log(tags=found.pop("skins"), **found)

    def get_success_url(self) -> str:
        if self.made.laced and frames.whole().exists():
            return reverse("line_frames", args=[self.made.pk])
        return address(self.made.batch or self.made.skins.all()[0])

    def get_cancel_url(self) -> str:
        return address(self.batch) if self.batch else super().get_cancel_url()


class LabourReversal(Reversal[LabourLine]):
    title = "Reverse this line?"
    trail = ("batches", "labour")
    cancel_page = "labour"
    success_message = "Reversed; both lines stay in the log."

    def things(self) -> QuerySet[LabourLine]:
        return LabourLine.objects.select_related("batch")

    def whose(self) -> Model | None:
        return self.thing.batch

    def get_lead(self) -> str:
        line = self.thing
        what = f"{formats.plain(line.minutes)} min {line.task} on {formats.day(line.on)}"
        return f"{what}. Both lines stay in the log; the cost leaves the skins."

    def enter(self, form: forms.Form) -> LabourLine:
        return labour.reverse(line=self.thing, **self.sent(form))
