"""Pages of an addition that is left out, and of that reversed; what every page of one line of a batch's recipe shares."""

from typing import Any

from django import forms
from django.db.models import Model, QuerySet
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property

from costing.make.additions import selectors as additions_read, services as additions
from costing.make.additions.forms import SkipForm
from costing.make.additions.models import SkippedAddition
from costing.make.additions.selectors import Addition
from costing.make.batches.requirements import selectors as requirements
from costing.make.batches.stays.views import OfBatch
from costing.make.recipes.models import RecipeLine
from inventory import formats
from inventory.web.reversals import Reversal
from inventory.web.views import back_to


class OfLine(OfBatch):
    """An entry on one line of the batch's recipe. It begins and ends on the page that it was asked for from, else on Today."""

    keeps = True
    template_name = "costing/make/additions/entry.html"

    @cached_property
    def line(self) -> RecipeLine:
        lines = RecipeLine.objects.select_related("material", "step")
        return get_object_or_404(lines, pk=self.kwargs["line"], version=self.thing.version_id)

    @cached_property
    def addition(self) -> Addition:
        amounts = requirements.amounts(self.thing)
        return next(additions_read.as_addition(self.thing, each) for each in amounts if each.line == self.line)

    def get_initial(self) -> dict[str, Any]:
        return {"next": self.request.GET.get("next", "")}

    def sent(self, form: forms.Form) -> dict[str, Any]:
        found = super().sent(form)
        del found["next"]
        return found

    def get_success_url(self) -> str:
        return back_to(self.request, reverse("today"))

    def get_cancel_url(self) -> str:
        return back_to(self.request, reverse("batch", args=[self.thing.number]))

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(batch=self.thing, line=self.line, addition=self.addition, **more)


class AdditionSkip(OfLine):
    form_class = SkipForm
    title = "Skip {self.line.material.name} in {self.thing.number}"
    lead = "It is not asked for any more. The reason stays with the batch."
    submit = "Skip it"

    def enter(self, form: forms.Form) -> SkippedAddition:
        return additions.skip(batch=self.thing, line=self.line, **self.sent(form))

    def get_success_message(self) -> str:
        return f"{self.line.material.name}, {self.thing.number}: skipped."


class SkipReversal(Reversal[SkippedAddition]):
    """A skip that was not so."""

    asks = ()
    title = "Reverse this entry?"
    success_message = "The entry is reversed."

    def things(self) -> QuerySet[SkippedAddition]:
        return SkippedAddition.objects.select_related("batch", "line__material")

    def whose(self) -> Model:
        return self.thing.batch

    def get_lead(self) -> str:
        return (
            f"{self.thing.batch.number}: {self.thing.line.material.name} was skipped on {formats.day(self.thing.on)}. "
            "The entry stays to be seen, struck out, and the addition is asked for again unless its step is over."
        )

    def enter(self, form: forms.Form) -> SkippedAddition:
        return additions.reverse(skipped=self.thing, **self.sent(form))
