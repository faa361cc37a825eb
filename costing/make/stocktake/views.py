"""Counting skins and pieces place by place: ticked blind, the differences seen, then decided one by one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.make.stocktake import selectors as stocktake_read
from costing.make.stocktake import services as stocktake
from costing.make.stocktake.forms import TallyForm, seen_fields
from costing.make.stocktake.services import Differences, Written, move_field
from inventory.models import Place
from inventory.permits import Act, may
from inventory.web.rows import Compared

NO_PLACE = "No place written"
TRAIL = [("Shelf", "shelf"), ("Count the shelf", "count_sheet")]


def _trail() -> list[tuple[str, str]]:
    return [(words, reverse(name)) for words, name in TRAIL]


def _codes(things: Sequence[object]) -> str:
    return ", ".join(str(thing) for thing in things)


@require_safe
def places(request: HttpRequest) -> HttpResponse:
    """Where to count. How much should be there is not said."""
    rows = stocktake_read.places()
    used = [place for place, in_use in rows if in_use]
    return render(
        request,
        "costing/make/stocktake/places.html",
        {
            "title": "Count skins and pieces",
            "room": "Shelf",
            "trail": _trail(),
            "used": used,
            "others": [place for place, in_use in rows if not in_use],
            "placeless": stocktake_read.placeless(),
        },
    )


class Tally(Compared):
    """One place; without a number in the address, what has no place written."""

    room = "Shelf"
    template_name = "costing/make/stocktake/stocktake.html"
    form_class = TallyForm
    submit = "Show the differences"
    cancel_name = "tally"
    lead = "Tick each one that you hold in your hand or see before you. Type what is here and has no line."
    made: Written

    @cached_property
    def place(self) -> Place | None:
        return get_object_or_404(Place, pk=self.kwargs["pk"]) if "pk" in self.kwargs else None

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the place
        return f"Count: {self.place or NO_PLACE}"

    def get_form_kwargs(self) -> dict[str, Any]:
        user = self.request.user
        return {
            **super().get_form_kwargs(),
            "things": stocktake_read.at(self.place),
            "may_shed": may(user, Act.SHED),
            "may_price": may(user, Act.PRICES),
        }

    def typed(self, blank: Any, data: QueryDict) -> dict[str, Any]:
        return {**super().typed(blank, data), "found": data.getlist("found")}

    def entered(self, form: TallyForm) -> set[str]:
        return {"on", "found", "also"}

    def look(self, form: TallyForm) -> Differences:
        found = form.all_found()
        return stocktake.look(place=self.place, on=form.cleaned_data["on"], found=found, by=self.request.user)

    def shown(self, form: TallyForm, found: Differences) -> dict[str, Any]:
        form.ask(found)
        facts = stocktake_read.facts([*found.missing, *found.elsewhere])
        return {
            "missing": [(each, facts[each.key], *form.questions(each)) for each in found.missing],
            "elsewhere": [(each, facts[each.key], form[move_field(each)]) for each in found.elsewhere],
            "agreeing": found.agreeing,
            "seen": seen_fields(found.signs),
        }

    def enter(self, form: TallyForm) -> Written:
        return stocktake.post(
            place=self.place,
            on=form.cleaned_data["on"],
            found=form.all_found(),
            seen=form.seen(),
            doing=form.doing(),
            by=self.request.user,
            request_key=form.cleaned_data["request_key"],
        )

    def said(self) -> str:
        made = self.made
        told = [
            *([f"moved here: {_codes([move.skin or move.article for move in made.moved])}"] if made.moved else []),
            *([f"lost: {_codes(made.lost)}"] if made.lost else []),
            *([f"gone: {_codes([move.article for move in made.gone])}"] if made.gone else []),
            *([f"to look for again, with nothing written: {', '.join(made.again)}"] if made.again else []),
        ]
        where = self.place or NO_PLACE
        return f"Counted, {where}: {'; '.join(told) or 'nothing had to be written'}."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [*_trail(), ("Skins and pieces", reverse("tally"))]
        return super().get_context_data(trail=trail, place=self.place, **more)
