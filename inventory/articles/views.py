"""Judging a finished piece anew. Its other pages are upstairs, where its cost is known."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.utils.functional import cached_property

from inventory import units
from inventory.articles import services as articles
from inventory.articles.forms import RegradeForm
from inventory.articles.models import Article, Regrade
from inventory.web.views import About


class ArticleRegrade(About):
    form_class = RegradeForm
    submit = "Judge it anew"
    lead = "What it was stays on record. Its cost does not change: a lower grade is a matter of the price."

    @cached_property
    def thing(self) -> Article:
        return get_object_or_404(Article, number=self.kwargs["number"])

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the piece
        return f"Grade and area of {self.thing.number}"

    def get_initial(self) -> dict[str, Any]:
        area = self.thing.area
        stands = {"grade": self.thing.grade, "area": None if area is None else units.from_base(area, "dm2")}
        return {**super().get_initial(), **stands}

    def enter(self, form: Any) -> Regrade:
        found = form.cleaned_data
        area = found["area"]
        return articles.regrade(
            article=self.thing,
            grade=found["grade"],
            area=None if area is None else units.to_base(area, found["area_unit"], "cm2"),
            on=found["on"],
            note=found["note"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def said(self) -> str:
        return f"{self.thing.number} is judged anew."
