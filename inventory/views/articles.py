"""Judging a finished piece anew. Its other pages are upstairs, where its cost is known."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property

from inventory import units
from inventory.forms.articles import RegradeForm
from inventory.models import Article, Regrade
from inventory.selectors import workshop
from inventory.services import articles
from inventory.views.entry import EntryView


class ArticleRegrade(EntryView):
    form_class = RegradeForm
    template_name = "inventory/entry.html"
    room = "Articles"
    submit = "Judge it anew"
    lead = "What it was stays on record. Its cost does not change: a lower grade is a matter of the price."

    @cached_property
    def article(self) -> Article:
        return get_object_or_404(Article, number=self.kwargs["number"])

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the piece
        return f"Grade and area of {self.article.number}"

    def get_initial(self) -> dict[str, Any]:
        area = self.article.area
        stands = {"grade": self.article.grade, "area": None if area is None else units.from_base(area, "dm2")}
        return {**super().get_initial(), **stands, "on": workshop.today()}

    def enter(self, form: Any) -> Regrade:
        found = form.cleaned_data
        area = found["area"]
        return articles.regrade(
            article=self.article,
            grade=found["grade"],
            area=None if area is None else units.to_base(area, found["area_unit"], "cm2"),
            on=found["on"],
            note=found["note"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def done_url(self) -> str:
        return reverse("article", args=[self.article.number])

    cancel_url = done_url

    def said(self) -> str:
        return f"{self.article.number} is judged anew."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [("Articles", reverse("articles")), (self.article.number, self.done_url())]
        return super().get_context_data(trail=trail, **more)
