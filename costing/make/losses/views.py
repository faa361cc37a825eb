"""Losses: writing a skin off, who bears it, taking that back; how often it happens, and what a raw skin may cost."""

from __future__ import annotations

from typing import Any

from django import forms
from django.shortcuts import get_object_or_404
from django.utils.functional import cached_property

from costing.make.losses import selectors as losses_read
from costing.make.losses import services as losses
from costing.make.losses.forms import BearForm, LoseForm
from inventory.base import selectors as workshop
from inventory.models import Skin
from inventory.permits import Act, may
from inventory.templatetags import figures
from inventory.web.views import About


class _OfSkin(About):
    @cached_property
    def thing(self) -> Skin:
        return get_object_or_404(Skin, tag=self.kwargs["tag"])


class SkinLose(_OfSkin):
    form_class = LoseForm
    submit = "It is lost"
    danger = True
    lead = (
        "For a skin that slipped, spoiled or is gone. What it cost until that day is its loss; the others in the batch "
        "bear what comes after."
    )

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the skin
        return f"Is {self.thing.tag} lost?"

    def get_form_kwargs(self) -> dict[str, Any]:
        steps = losses_read.steps_of(self.thing)
        return {**super().get_form_kwargs(), "steps": steps, "may_spread": may(self.request.user, Act.PRICES)}

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "on": workshop.today(), "spread": "no"}

    def enter(self, form: forms.Form) -> Skin:
        found = form.cleaned_data
        return losses.lose(
            skin=self.thing,
            on=found["on"],
            reason=found["reason"],
            step=found["step"] or None,
            spread=found.get("spread") == "yes",
            by=self.request.user,
            request_key=found["request_key"],
        )

    def said(self) -> str:
        row: Skin = self.made
        return f"{row.tag} is lost; " + ("the others bear it." if row.loss_spread else "it is written off.")


class LossBear(_OfSkin):
    """Change of mind: `spread` says which way."""

    form_class = BearForm
    submit = "Do it so"
    spread = False

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the skin
        return f"Let the others bear {self.thing.tag}?" if self.spread else f"Write {self.thing.tag} off?"

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it names the figures
        both = losses_read.both(self.thing)
        if both is None:
            return f"{self.thing.tag} is not lost."
        book, full = figures.money(both.found.book), figures.money(both.found.full)
        if not self.spread:
            return f"Nobody bears it then: {book} of cash and {full} in full are the year's loss."
        parts = [
            f"{tag} {figures.money(each.book)} book, {figures.money(each.full)} full"
            for tag, each in both.found.each.items()
        ]
        bears = "; ".join(parts) or "nobody, as none was left beside it"
        return f"Of {book} of cash and {full} in full bear: {bears}. Pieces that are finished show it as late cost."

    def enter(self, form: forms.Form) -> Skin:
        return losses.spread(
            skin=self.thing,
            spread=self.spread,
            by=self.request.user,
            request_key=form.cleaned_data["request_key"],
        )

    def said(self) -> str:
        return "The skins that were with it bear the loss." if self.spread else "The loss is written off."


class LossTakeBack(_OfSkin):
    form_class = BearForm
    submit = "It is not lost"
    danger = True
    lead = "For a skin that was lost by mistake. It stands in its batch again as if nothing had been."

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the skin
        return f"{self.thing.tag} is not lost?"

    def enter(self, form: forms.Form) -> Skin:
        return losses.take_back(skin=self.thing, by=self.request.user, request_key=form.cleaned_data["request_key"])

    def said(self) -> str:
        return f"{self.thing.tag} is there again."
