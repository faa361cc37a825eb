"""One entry of the stock ledger with its movements, and the way to take it back."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory import units
from inventory.errors import Refused
from inventory.ledger import selectors as ledger_read
from inventory.ledger import selectors as ledger_selectors
from inventory.ledger import services as ledger
from inventory.ledger.models import INWARD, Kind, Posting
from inventory.ledger.tables import per_unit
from inventory.permits import Act, may
from inventory.web.forms import TakeBackForm
from inventory.web.views import EntryView


def name(posting: Posting) -> str:
    """The entry's heading: Delivery of 7 Jan 2025, Taken back: Delivery."""
    said = posting.get_kind_display()
    return f"Taken back: {said.lower()}" if posting.reverses_id else said


def open_to_take_back(posting: Posting) -> bool:
    """Whether this page offers to take the entry back. What was put in work is taken back on its batch or skin, where
    the cost leaves the skins with it."""
    return posting.kind != Kind.USE and not posting.reverses_id and not hasattr(posting, "reversed_by")


@require_safe
def posting(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(ledger_read.postings().select_related("delivery__supplier"), pk=pk)
    moved = list(ledger_selectors.movements(row))
    act = Act.GOODS if row.kind in (*INWARD, Kind.COUNT) else Act.SHED
    return render(
        request,
        "inventory/ledger/posting.html",
        {
            "title": name(row),
            "room": "Shelf",
            "trail": [("Shelf", reverse("shelf"))],
            "posting": row,
            "lines": [(each, per_unit(each.value, each.quantity, each.material.unit)) for each in moved],
            "total": ledger_selectors.value_moved(moved),
            "remark": "" if row.reason.casefold() == row.get_kind_display().casefold() else row.reason,
            "put_in_work": row.kind == Kind.USE,
            "may_take_back": open_to_take_back(row) and may(request.user, act),
        },
    )


class TakeBack(EntryView):
    room = "Shelf"
    template_name = "inventory/ledger/reverse.html"
    form_class = TakeBackForm
    submit = "Take it back"
    danger = True
    posting: Posting

    def setup(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().setup(request, *args, **kwargs)
        self.posting = get_object_or_404(ledger_read.postings().select_related("delivery__supplier"), pk=kwargs["pk"])
        self.title = f"Take back: {name(self.posting).lower()}"

    def cancel_url(self) -> str:
        return reverse("posting", args=[self.posting.pk])

    def enter(self, form: TakeBackForm) -> Posting:
        if self.posting.kind == Kind.USE:
            raise Refused(
                "This was put in work. Take it back on the page of its batch or skin, so that the cost leaves the skins, too."
            )
        data = form.cleaned_data
        return ledger.reverse(
            posting=self.posting,
            reason=data["reason"],
            on=data["on"],
            by=self.request.user,
            request_key=data["request_key"],
        )

    def done_url(self) -> str:
        return reverse("posting", args=[self.made.pk])

    def said(self) -> str:
        return f"The entry of {self.posting.on} is taken back; both stand in the books, linked."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [("Shelf", reverse("shelf")), (name(self.posting), self.cancel_url())]
        back = [
            (
                line.material.name,
                "out" if line.quantity > 0 else "in",
                units.show(abs(line.quantity), line.material.unit),
                abs(line.value),
            )
            for line in ledger_selectors.movements(self.posting)
        ]
        return super().get_context_data(posting=self.posting, back=back, trail=trail, **more)
