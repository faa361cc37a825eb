"""Pages of labour: the log, logging minutes, taking a line back."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property

from costing.make.batches.models import Batch
from costing.make.batches.stays import selectors as stays
from costing.make.labour import selectors as labour_read
from costing.make.labour import services as labour
from costing.make.labour.forms import LabourFinder, LabourForm, LabourTakeBackForm
from costing.make.labour.models import LabourLine
from costing.make.labour.tables import LabourTable
from inventory.base import selectors as workshop
from inventory.models import Skin
from inventory.web.lists import SortedListPage as ListPage
from inventory.web.views import EntryView


class LabourList(ListPage):
    table_class = LabourTable
    finder_class = LabourFinder
    title = "Work"
    room = "Batches"
    lead = "Every minute at the tub and the bench. Lines are taken back, never changed."
    links = (("Batches", "batches"),)
    new_name, new_label = "labour_new", "Log work"
    empty_title = "No work logged yet"
    empty_text = (
        "Time is most of what a piece costs. Log what you did today: the task, the minutes, on which batch or skins."
    )

    def rows(self) -> QuerySet[LabourLine]:
        return labour_read.listed()


class LabourNew(EntryView):
    """`?batch=` and `?skin=` choose beforehand; with a batch only its skins are offered."""

    form_class = LabourForm
    title = "Log work"
    room = "Batches"
    submit = "Log it"
    made: LabourLine

    @cached_property
    def batch(self) -> Batch | None:
        number = self.request.GET.get("batch")
        return get_object_or_404(Batch, number=number) if number else None

    def get_form_kwargs(self) -> dict[str, Any]:
        open_ones = Batch.objects.filter(~Q(state=Batch.State.DONE) | Q(pk=self.batch.pk if self.batch else 0))
        offered = stays.unfinished()
        if self.batch:
            offered = Skin.objects.filter(stays__batch=self.batch).order_by("tag")
        return {**super().get_form_kwargs(), "skins": list(offered), "batches": open_ones.order_by("-start", "-pk")}

    def get_initial(self) -> dict[str, Any]:
        return {
            **super().get_initial(),
            "on": workshop.today(),
            "batch": self.batch.number if self.batch else None,
            "skins": self.request.GET.getlist("skin"),
        }

    def enter(self, form: forms.Form) -> LabourLine:
        found = form.cleaned_data
        return labour.log(
            on=found["on"],
            kind=found["kind"],
            task=found["task"],
            minutes=found["minutes"],
            batch=found["batch"],
            tags=found["skins"],
            who=found["who"],
            paid=found["paid"] or Decimal(0),
            laced=found["laced"] or None,
            by=self.request.user,
            request_key=found["request_key"],
        )

    def done_url(self) -> str:
        if self.made.batch:
            return reverse("batch", args=[self.made.batch.number])
        return reverse("skin", args=[self.made.skins.all()[0].tag])

    def cancel_url(self) -> str:
        return reverse("batch", args=[self.batch.number]) if self.batch else reverse("labour")

    def said(self) -> str:
        return f"{self.made.minutes.normalize():f} min {self.made.task} are logged."


class LabourTakeBack(EntryView):
    form_class = LabourTakeBackForm
    title = "Take this line back?"
    room = "Batches"
    submit = "Take it back"
    danger = True

    @cached_property
    def line(self) -> LabourLine:
        return get_object_or_404(LabourLine.objects.select_related("batch"), pk=self.kwargs["pk"])

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it names the line
        line = self.line
        what = f"{line.minutes.normalize():f} min {line.task} on {line.on.day} {line.on:%b %Y}"
        return f"{what}. Both lines stay in the log; the cost leaves the skins."

    def get_initial(self) -> dict[str, Any]:
        closed = workshop.current().closed_to
        return {**super().get_initial(), "on": workshop.today() if closed and self.line.on <= closed else self.line.on}

    def enter(self, form: forms.Form) -> LabourLine:
        found = form.cleaned_data
        return labour.take_back(line=self.line, on=found["on"], by=self.request.user, request_key=found["request_key"])

    def done_url(self) -> str:
        return reverse("batch", args=[self.line.batch.number]) if self.line.batch else reverse("labour")

    cancel_url = done_url
    done_message = "Taken back."
