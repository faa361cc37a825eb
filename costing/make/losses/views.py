"""Losses: writing a skin off, reallocating its cost, undoing that."""

from typing import Any

from django import forms

from costing.make.losses import selectors as losses_read, services as losses
from costing.make.losses.forms import LoseForm
from costing.make.steps.agenda import selectors as agenda
from inventory.models import Skin
from inventory.permits import Act, may
from inventory.templatetags import figures
from inventory.web.reversals import Reversal
from inventory.web.views import About


class SkinLose(About[Skin]):
    model = Skin
    form_class = LoseForm
    title = "Is {self.thing.tag} lost?"
    submit = "Record loss"
    danger = True
    lead = (
        "For a skin that slipped, spoiled or is gone. What it cost until that day is its loss; what comes after is "
        "allocated to the others in the batch."
    )

    def get_lead(self) -> str:
        price = agenda.agreed([self.thing]).get(self.thing.pk)
        if price is None:
            return self.lead
        return f"{self.lead} It is a customer's: the {figures.money(price)} agreed for the job would not be paid."

    def form_options(self) -> dict[str, Any]:
        return {"steps": losses_read.steps_of(self.thing), "may_spread": may(self.request.user, Act.PRICES)}

    def get_initial(self) -> dict[str, Any]:
        return {"spread": "no"}

    def enter(self, form: forms.Form) -> Skin:
        found = self.sent(form)
        found |= {"step": found["step"] or None, "spread": found.get("spread") == "yes"}
        return losses.lose(skin=self.thing, **found)

    def get_success_message(self) -> str:
        row: Skin = self.made
        ending = "its cost is reallocated to the others." if row.loss_spread else "it is written off."
        return f"{row.tag} is lost; {ending}"


class LossReallocation(About[Skin]):
    """Change of mind: `spread` says which way."""

    model = Skin
    submit = "Confirm"
    spread = False

    def get_title(self) -> str:
        return f"Reallocate the loss of {self.thing.tag}?" if self.spread else f"Write {self.thing.tag} off?"

    def get_lead(self) -> str:
        both = losses_read.both(self.thing)
        if both is None:
            return f"{self.thing.tag} is not lost."
        book, full = figures.money(both.found.book), figures.money(both.found.full)
        if not self.spread:
            return f"It is allocated to no skin then: {book} of cash and {full} in full are the year's loss."
        parts = [
            f"{tag} {figures.money(each.book)} book, {figures.money(each.full)} full"
            for tag, each in both.found.each.items()
        ]
        each = "; ".join(parts) or "nobody, as none remained beside it"
        return f"{book} of cash and {full} in full are allocated to: {each}. Pieces that are finished show it as late cost."

    def enter(self, form: forms.Form) -> Skin:
        return losses.spread(skin=self.thing, spread=self.spread, **self.sent(form))

    def get_success_message(self) -> str:
        if self.spread:
            return "The loss is reallocated to the skins that were with it."
        return "The loss is written off."


class LossReversal(Reversal[Skin]):
    model = Skin
    asks = ()
    title = "{self.thing.tag} is not lost?"
    submit = "Reverse the loss"
    lead = "For a skin that was lost by mistake. It is in its batch again as if nothing had been."
    success_message = "{self.thing.tag} is there again."

    def enter(self, form: forms.Form) -> Skin:
        return losses.reverse(skin=self.thing, **self.sent(form))
