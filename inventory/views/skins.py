"""Pages of skins on the ground floor: the list, taking one in, saying it better. The page of one skin is upstairs."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from inventory.forms.filters import SkinFinder
from inventory.forms.skins import NewSkinForm, SkinForm
from inventory.models import Skin
from inventory.selectors import skins as reads
from inventory.services import skins
from inventory.services.permits import Act
from inventory.tables.skins import SkinTable
from inventory.views import moves
from inventory.views.entry import EntryView
from inventory.views.lists import ListPage
from inventory.views.materials import named_supplier

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
        return reads.skins()


class SkinNew(EntryView):
    title = "Take a skin in"
    room = "Skins"
    template_name = "inventory/skins/new.html"
    form_class = NewSkinForm
    submit = "Take it in"
    cancel_name = "skins"

    def get_initial(self) -> dict[str, Any]:
        """The next free tag; `?like=H01` repeats what skins of one lot have in common."""
        initial: dict[str, Any] = {"tag": reads.next_tag()}
        like = reads.skins().filter(tag=self.request.GET.get("like", "")).first()
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


class SkinEdit(EntryView):
    room = "Skins"
    form_class = SkinForm
    submit = "Save"
    lead = "Owner, price and day of arrival are in the books and stay as they were written."
    template_name = "inventory/moves/described.html"
    skin: Skin

    def setup(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().setup(request, *args, **kwargs)
        self.skin = get_object_or_404(reads.skins(), tag=kwargs["tag"])
        self.title = f"Describe {self.skin.tag}"

    def get_initial(self) -> dict[str, Any]:
        return SkinForm.told(self.skin)

    def enter(self, form: SkinForm) -> Skin:
        with transaction.atomic():
            details = skins.Details(
                **_said(form, by=self.request.user),
                owner=self.skin.owner,
                date_in=self.skin.date_in,
                price=self.skin.price,
            )
            return skins.describe(skin=self.skin, details=details, by=self.request.user)

    def cancel_url(self) -> str:
        return reverse("skin", args=[self.skin.tag])

    def done_url(self) -> str:
        return self.cancel_url()

    def said(self) -> str:
        return f"{self.skin.tag} is described anew."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [("Skins", reverse("skins")), (self.skin.tag, self.cancel_url())]
        return super().get_context_data(trail=trail, **moves.whereabouts(self.skin, self.request.user), **more)


def _said(form: SkinForm, *, by: Any) -> dict[str, Any]:
    """What both forms ask, as the service takes it."""
    data = form.cleaned_data
    plain = ("species", "sex_age", "customer", "source", "defects")
    return {
        **{name: data[name] for name in plain},
        **form.measured(),
        "supplier": named_supplier(data["supplier"], by=by),
    }
