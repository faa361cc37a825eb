"""Pages of non-production hours. Nothing is changed; it is reversed."""

from django import forms

from costing.sell.expenses.hours import selectors as hours_read, services as hours
from costing.sell.expenses.hours.forms import HoursFinder, HoursForm
from costing.sell.expenses.hours.models import SideHours
from costing.sell.expenses.hours.tables import HoursTable
from inventory.permits import Act
from inventory.templatetags import figures
from inventory.web.lists import ListPage
from inventory.web.reversals import Reversal
from inventory.web.views import EntryView


class HoursList(ListPage):
    table_class = HoursTable
    finder_class = HoursFinder
    rows = staticmethod(hours_read.hours)
    title = "Non-production hours"
    trail = ("sales",)
    totals = "minutes"
    lead = "Stall, buying, photos, papers: allocated to no skin, but they count when you ask what an hour earned."
    links = ("expenses",)
    action = ("Enter hours", "hours_new")
    needs = Act.BOOKS
    empty_title = "No hours yet"
    empty_text = "Enter what the papers, the buying and the photos took; the hours at a fair are with the fair."


class HoursNew(EntryView):
    form_class = HoursForm
    title = "Non-production hours"
    trail = ("sales", "hours")
    submit = "Record hours"
    cancel_page = "hours"
    made: SideHours

    def enter(self, form: forms.Form) -> SideHours:
        return hours.write(**self.sent(form))

    def get_success_message(self) -> str:
        return f"{figures.hours(self.made.minutes)} are recorded."


class HoursReversal(Reversal[SideHours]):
    things = staticmethod(hours_read.hours)
    title = "Reverse these hours?"
    trail = ("sales", "hours")
    cancel_page = "hours"

    def get_lead(self) -> str:
        row = self.thing
        return f"{figures.hours(row.minutes)}, {row.get_kind_display().lower()}, on {row.on.day} {row.on:%b %Y}."

    def enter(self, form: forms.Form) -> SideHours:
        return hours.reverse(row=self.thing, **self.sent(form))
