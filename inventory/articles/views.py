"""Changing grade, area or label of a finished piece. Its other pages are upstairs, where its cost is known."""

from dataclasses import fields
from typing import Any

from inventory import units
from inventory.articles import services as articles
from inventory.articles.forms import NamingForm, RegradeForm
from inventory.articles.models import Article, Regrade
from inventory.articles.services import Naming
from inventory.base import measures
from inventory.web.views import About


class ArticleRegrade(About[Article]):
    model = Article
    form_class = RegradeForm
    title = "Grade and area of {self.thing.number}"
    submit = "Change grade or area"
    lead = "What it was stays on record. Its cost does not change: a lower grade is a matter of the price."
    success_message = "Grade and area of {self.thing.number} are changed."

    def get_initial(self) -> dict[str, Any]:
        area = self.thing.area
        return {
            "grade": self.thing.grade,
            "area": None if area is None else units.from_base(area, measures.area_unit()),
        }

    def enter(self, form: RegradeForm) -> Regrade:
        found = self.sent(form)
        area, unit = found.pop("area"), found.pop("area_unit")
        base = None if area is None else units.to_base(area, unit, "cm2")
        return articles.regrade(article=self.thing, area=base, **found)


class ArticleNaming(About[Article]):
    model = Article
    form_class = NamingForm
    title = "Label of {self.thing.number}"
    lead = "What a buyer reads of it. The words of care follow its method, its hair and its use."
    success_message = "The label of {self.thing.number} is changed."

    def get_initial(self) -> dict[str, Any]:
        return {field.name: getattr(self.thing, field.name) for field in fields(Naming)}

    def enter(self, form: NamingForm) -> Article:
        found = self.given(form)
        by = found.pop("by")
        return articles.name(article=self.thing, naming=Naming(**found), by=by)
