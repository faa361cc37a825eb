"""Pages of hours that no skin bears. Nothing is changed; it is taken back."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property

from costing.sell.expenses.hours import forms as hours_forms
from costing.sell.expenses.hours import selectors as hours_read
from costing.sell.expenses.hours import services as hours
from costing.sell.expenses.hours.models import SideHours
from costing.sell.expenses.hours.tables import HoursTable
from inventory.base import selectors as workshop
from inventory.templatetags import figures
from inventory.web.reversals import ROOM, Ledger, TakeBack
from inventory.web.views import EntryView


class HoursList(Ledger):
    table_class = HoursTable
    finder_class = hours_forms.HoursFinder
    title = "Hours beside the making"
    lead = "Stall, buying, photos, papers: no skin bears them, but they count when you ask what an hour earned."
    links = (("Sales", "sales"), ("Costs", "expenses"))
    new_name, new_label = "hours_new", "Enter hours"
    empty_title = "No hours yet"
    empty_text = "Enter what the papers, the buying and the photos took; the hours at a fair stand with the fair."
    column = "minutes"

    def rows(self) -> QuerySet[SideHours]:
        return hours_read.hours()


class HoursNew(EntryView):
    form_class = hours_forms.HoursForm
    template_name = "inventory/web/entry.html"
    title = "Hours beside the making"
    room = ROOM
    submit = "Enter them"
    cancel_name = "hours"
    made: SideHours

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "on": workshop.today(), "kind": SideHours.Kind.PAPERS}

    def enter(self, form: forms.Form) -> SideHours:
        found = form.cleaned_data
        return hours.write(
            kind=found["kind"],
            minutes=found["minutes"],
            on=found["on"],
            words=found["words"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def said(self) -> str:
        return f"{figures.hours(self.made.minutes)} are written."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [("Sales", reverse("sales")), ("Hours", reverse("hours"))]
        return super().get_context_data(trail=trail, **more)


class HoursTakeBack(TakeBack):
    title = "Take these hours back?"
    cancel_name = "hours"

    @cached_property
    def row(self) -> SideHours:
        return get_object_or_404(hours_read.hours(), pk=self.kwargs["pk"])

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it names the hours
        row = self.row
        return f"{figures.hours(row.minutes)}, {row.get_kind_display().lower()}, on {row.on.day} {row.on:%b %Y}."

    def happened(self) -> date:
        return self.row.on

    def enter(self, form: forms.Form) -> SideHours:
        found = form.cleaned_data
        return hours.take_back(row=self.row, on=found["on"], by=self.request.user, request_key=found["request_key"])
