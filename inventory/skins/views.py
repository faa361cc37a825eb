"""Pages of skins on the ground floor: the list, taking one in, saying it better. The page of one skin is upstairs."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property

from inventory.permits import Act
from inventory.places.moves import views as moves
from inventory.skins import selectors as skins_read
from inventory.skins import services as skins
from inventory.skins.forms import NewSkinForm, SkinFinder, SkinForm
from inventory.skins.models import Skin
from inventory.skins.tables import SkinTable
from inventory.suppliers.services import named_supplier
from inventory.web.lists import ListPage
from inventory.web.views import About, EntryView

LIKE = ("species", "sex_age", "customer", "source", "supplier")


class Skins(ListPage):
    title = "Skins"
    room = "Skins"
    find_label = "Find a skin"
    table_class = SkinTable
    finder_class = SkinFinder
    empty_title = "No skins yet"
    empty_text = "Take the first one in: its tag, where it came from, what it weighed green."
    action = ("Take a skin in", "skin_new")
    needs = Act.SHED

    def rows(self) -> QuerySet[Skin]:
        return skins_read.skins()


class SkinNew(EntryView):
    title = "Take a skin in"
    room = "Skins"
    template_name = "inventory/skins/new.html"
    form_class = NewSkinForm
    submit = "Take it in"
    cancel_name = "skins"

    def get_initial(self) -> dict[str, Any]:
        """The next free tag; `?like=H01` repeats what skins of one lot have in common."""
        initial: dict[str, Any] = {"tag": skins_read.next_tag()}
        like = skins_read.skins().filter(tag=self.request.GET.get("like", "")).first()
        if like:
            told = SkinForm.told(like)
            initial |= {name: told[name] for name in LIKE}
            initial |= {"owner": like.owner, "date_in": like.date_in, "price": like.price or None}
            initial |= {"place": like.place, "another": True}
        return initial

    def enter(self, form: NewSkinForm) -> Skin:
        data = form.cleaned_data
        with transaction.atomic():
            details = skins.Details(
                **_said(form, by=self.request.user),
                owner=data["owner"],
                place=data["place"],
                date_in=data["date_in"],
                price=data["price"] or Decimal(0),
            )
            return skins.take_in(
                tag=data["tag"], details=details, by=self.request.user, request_key=data["request_key"]
            )

    def form_valid(self, form: Any) -> HttpResponse:
        self.another = form.cleaned_data["another"]
        return super().form_valid(form)

    def done_url(self) -> str:
        if self.another:
            return f"{reverse('skin_new')}?like={self.made.tag}"
        return reverse("skin", args=[self.made.tag])

    def said(self) -> str:
        return f"{self.made.tag} is taken in."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(trail=[("Skins", reverse("skins"))], **more)


class SkinEdit(About):
    form_class = SkinForm
    submit = "Save"
    lead = "Owner, price and day of arrival are in the books and stay as they were written."
    template_name = "inventory/places/moves/described.html"

    @cached_property
    def thing(self) -> Skin:
        return get_object_or_404(skins_read.skins(), tag=self.kwargs["tag"])

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the skin
        return f"Describe {self.thing.tag}"

    def get_initial(self) -> dict[str, Any]:
        return SkinForm.told(self.thing)

    def enter(self, form: SkinForm) -> Skin:
        with transaction.atomic():
            details = skins.Details(
                **_said(form, by=self.request.user),
                owner=self.thing.owner,
                date_in=self.thing.date_in,
                price=self.thing.price,
            )
            return skins.describe(skin=self.thing, details=details, by=self.request.user)

    def said(self) -> str:
        return f"{self.thing.tag} is described anew."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(**moves.whereabouts(self.thing, self.request.user), **more)


def _said(form: SkinForm, *, by: Any) -> dict[str, Any]:
    """What both forms ask, as the service takes it."""
    data = form.cleaned_data
    plain = ("species", "sex_age", "customer", "source", "defects")
    return {
        **{name: data[name] for name in plain},
        **form.measured(),
        "supplier": named_supplier(data["supplier"], by=by),
    }
