"""What pages of money in, of costs and of hours have in common: a list with what it comes to, and taking one entry back."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.urls import reverse

from costing.forms import payments as asked
from costing.selectors import ledgers
from costing.views.lists import ListPage
from inventory.selectors import workshop
from inventory.services.permits import Act
from inventory.views.entry import EntryView

ROOM = "Sales"


class Ledger(ListPage):
    room = ROOM
    new_act = Act.BOOKS
    column = "amount"

    def prepare(self, table: Any) -> None:
        table.total = ledgers.total(table.data.data, self.column)


class TakeBack(EntryView):
    """Takes one entry back by a linked one of the same size."""

    form_class = asked.BackForm
    template_name = "inventory/entry.html"
    room = ROOM
    submit = "Take it back"
    danger = True
    done_message = "Taken back; both stand in the books, linked."

    def happened(self) -> date:
        raise NotImplementedError

    def get_initial(self) -> dict[str, Any]:
        closed = workshop.current().closed_to
        day = self.happened()
        return {**super().get_initial(), "on": workshop.today() if closed and day <= closed else day}

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(trail=[("Sales", reverse("sales"))], **more)
