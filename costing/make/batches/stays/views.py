"""An entry on one batch; pages of skins that join one and leave it."""

from datetime import date
from typing import Any

from django import forms
from django.db.models import Model
from django.http import Http404
from django.shortcuts import get_object_or_404
from django.utils.functional import cached_property

from costing.make.batches.models import Batch, BatchSkin, StruckStay
from costing.make.batches.stays import selectors as stays_read, services as stays
from costing.make.batches.stays.forms import JoinForm, LeaveForm
from inventory.base import selectors as workshop
from inventory.models import Skin
from inventory.web.reversals import ON, REASON, Reversal
from inventory.web.views import About


class OfBatch(About[Batch]):
    """An entry on one batch."""

    things = staticmethod(stays_read.detailed)


class BatchJoin(OfBatch):
    form_class = JoinForm
    title = "Skins into {self.thing.number}"
    submit = "Put them in"

    def form_options(self) -> dict[str, Any]:
        return {"skins": list(stays_read.free())}

    def get_initial(self) -> dict[str, Any]:
        return {"on": max(workshop.today(), self.thing.start)}

    def enter(self, form: forms.Form) -> Batch:
        found = self.sent(form)
        return stays.join(batch=self.thing, tags=found.pop("skins"), **found)


class BatchLeave(OfBatch):
    form_class = LeaveForm
    title = "Take {self.skin.tag} out of {self.thing.number}"
    submit = "Take it out"
    lead = "For a skin that goes on alive, in another batch or by itself. A skin that slipped is lost instead: see its own page."

    @cached_property
    def skin(self) -> Skin:
        return get_object_or_404(Skin, tag=self.kwargs["tag"])

    def enter(self, form: forms.Form) -> object:
        return stays.leave(batch=self.thing, skin=self.skin, **self.sent(form))


class StayStrike(Reversal[Any]):
    template_name = "costing/make/batches/strike.html"
    asks = (ON, REASON)
    title = "{self.thing.skin} was never in {self.thing.batch}?"
    submit = "Move its shares away"
    success_message = "{self.thing.skin} was never in {self.thing.batch}: its shares went to the others."

    @cached_property
    def thing(self) -> BatchSkin | StruckStay:
        """The stay, or what it became when the button was pressed before."""
        of = {"batch__number": self.kwargs["number"], "skin__tag": self.kwargs["tag"]}
        for kind in (BatchSkin, StruckStay):
            if (
                found := kind._default_manager.filter(**of).select_related("batch", "skin").order_by("pk").last()
            ) is not None:
                return found
        raise Http404

    def whose(self) -> Model:
        return self.thing.batch

    def happened(self) -> date:
        return stays_read.strikeable_on(self.thing.batch, self.thing.skin, self.thing)

    def get_lead(self) -> str:
        return stays_read.named(self.thing.batch, self.thing.skin)

    def enter(self, form: forms.Form) -> object:
        return stays.strike(batch=self.thing.batch, skin=self.thing.skin, **self.sent(form))

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        shifts = stays_read.without(self.thing.batch, self.thing.skin)
        return super().get_context_data(stay=self.thing, shifts=shifts, **more)
