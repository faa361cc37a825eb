"""Stocktake of skins and pieces place by place: ticked blind, the differences seen, then decided one by one."""

from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.make.stocktake import selectors as stocktake_read, services as stocktake
from costing.make.stocktake.forms import SEEN, StocktakeForm
from costing.make.stocktake.services import Differences, Written
from inventory.models import Place
from inventory.permits import Act, may
from inventory.web.rows import Compared
from inventory.web.trail import page

NO_PLACE = "No place written"
WAY = ("shelf", "count_sheet")


def _codes(things: Sequence[object]) -> str:
    return ", ".join(str(thing) for thing in things)


@require_safe
def places(request: HttpRequest) -> HttpResponse:
    """Where to count. How much should be there is not said."""
    title = "Stocktake of skins and pieces"
    return page(request, "costing/make/stocktake/places.html", title, WAY, **stocktake_read.places())


class PlaceStocktake(Compared):
    """One place; without a number in the address, what has no place written."""

    title = "Stocktake: {self.where}"
    trail = (*WAY, "tally")
    template_name = "costing/make/stocktake/stocktake.html"
    form_class = StocktakeForm
    submit = "Show the differences"
    cancel_page = "tally"
    lead = "Tick each one that you hold in your hand or see before you. Type what is here and has no line."
    made: Written

    @cached_property
    def place(self) -> Place | None:
        return get_object_or_404(Place, pk=self.kwargs["pk"]) if "pk" in self.kwargs else None

    @property
    def where(self) -> Place | str:
        return self.place or NO_PLACE

    def form_options(self) -> dict[str, Any]:
        user = self.request.user
        things = stocktake_read.at(self.place)
        return {"things": things, "may_shed": may(user, Act.SHED), "may_price": may(user, Act.PRICES)}

    def entered(self, form: StocktakeForm) -> set[str]:
        return {"on", "found", "also"}

    def look(self, form: StocktakeForm) -> Differences:
        found = form.all_found()
        return stocktake.look(place=self.place, on=form.cleaned_data["on"], found=found, by=self.request.user)

    def shown(self, form: StocktakeForm, found: Differences) -> dict[str, Any]:
        form.ask(found)
        facts = stocktake_read.facts([*found.missing, *found.elsewhere])
        return {
            "missing": [(each, facts[each.key], *form.questions(each)) for each in found.missing],
            "elsewhere": [(each, facts[each.key], form[each.entry("move")]) for each in found.elsewhere],
            "agreeing": found.agreeing,
            "seen": [(f"{SEEN}{key}", sign) for key, sign in found.signs.items()],
        }

    def enter(self, form: StocktakeForm) -> Written:
        return stocktake.post(
            place=self.place,
            on=form.cleaned_data["on"],
            found=form.all_found(),
            seen=form.seen(),
            doing=form.doing(),
            by=self.request.user,
            request_key=form.cleaned_data["request_key"],
        )

    def get_success_message(self) -> str:
        made = self.made
        done = [
            *([f"moved here: {_codes([move.skin or move.article for move in made.moved])}"] if made.moved else []),
            *([f"lost: {_codes(made.lost)}"] if made.lost else []),
            *([f"gone: {_codes([move.article for move in made.gone])}"] if made.gone else []),
            *([f"to look for again, with nothing recorded: {', '.join(made.again)}"] if made.again else []),
        ]
        return f"Counted, {self.where}: {'; '.join(done) or 'nothing had to be recorded'}."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(place=self.place, **more)
