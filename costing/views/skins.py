"""The page of one skin: facts, cost so far with every line, stays, articles; and writing it off."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.forms.skins import LoseForm
from costing.selectors import skins as read
from costing.services import losses
from inventory.models import Skin
from inventory.selectors import workshop
from inventory.services.permits import Act, may
from inventory.views.entry import EntryView


@require_safe
def skin(request: HttpRequest, tag: str) -> HttpResponse:
    row = get_object_or_404(read.detailed(), tag=tag)
    return render(
        request,
        "costing/skins/skin.html",
        {
            "title": row.tag,
            "room": "Skins",
            "trail": [("Skins", reverse("skins"))],
            "skin": row,
            "cost": read.cost(row),
            "here": next((stay for stay in row.stays.all() if stay.left_on is None), None),
            "alive": row.stage in (Skin.Stage.RAW, Skin.Stage.IN_WORK),
            "may_finish": may(request.user, Act.PRICES),
        },
    )


class SkinLose(EntryView):
    form_class = LoseForm
    room = "Skins"
    submit = "Write it off"
    danger = True
    lead = (
        "For a skin that slipped, spoiled or is gone. What it cost until that day is its loss; the others in the batch "
        "bear what comes after. This is not undone by a tap."
    )

    @cached_property
    def skin(self) -> Skin:
        return get_object_or_404(Skin, tag=self.kwargs["tag"])

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the skin
        return f"Write {self.skin.tag} off?"

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "on": workshop.today()}

    def enter(self, form: forms.Form) -> Skin:
        found = form.cleaned_data
        return losses.lose(
            skin=self.skin,
            on=found["on"],
            reason=found["reason"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def done_url(self) -> str:
        return reverse("skin", args=[self.skin.tag])

    cancel_url = done_url

    def said(self) -> str:
        return f"{self.skin.tag} is written off."
