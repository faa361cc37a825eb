"""Lists of money in, of costs, and of hours beside the making, with what they come to; who owes, whose deposits are held."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet, Sum
from django.urls import reverse

from inventory.base import selectors as workshop
from inventory.money import ZERO
from inventory.permits import Act
from inventory.web import forms as web_forms
from inventory.web.lists import SortedListPage as ListPage
from inventory.web.views import EntryView


def total(rows: QuerySet[Any], field: str) -> Decimal:
    plain = rows.model._default_manager.filter(pk__in=rows.order_by().values("pk"))
    found: Decimal | None = plain.aggregate(total=Sum(field))["total"]
    return found or ZERO


ROOM = "Sales"


class Ledger(ListPage):
    room = ROOM
    new_act = Act.BOOKS
    column = "amount"

    def prepare(self, table: Any) -> None:
        table.total = total(table.data.data, self.column)


class TakeBack(EntryView):
    """Takes one entry back by a linked one of the same size."""

    form_class = web_forms.BackForm
    template_name = "inventory/web/entry.html"
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
