"""Pages of skins on the ground floor: the list, a new one, a changed one. The page of one skin is upstairs."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.db import transaction
from django.urls import reverse

from inventory.permits import Act, Person
from inventory.places.moves import views as moves
from inventory.skins import selectors as skins_read, services as skins
from inventory.skins.forms import PLAIN, NewSkinForm, SkinFinder, SkinForm
from inventory.skins.models import Skin
from inventory.skins.tables import SkinTable
from inventory.suppliers.services import named_supplier
from inventory.web.lists import ListPage
from inventory.web.questions import Odd
from inventory.web.views import About, EntryView, back_to

LIKE = ("species", "sex_age", "customer", "source", "origin", "supplier", "weight_unit", "area_unit")


class Skins(ListPage):
    title = "Skins"
    table_class = SkinTable
    finder_class = SkinFinder
    rows = staticmethod(skins_read.skins)
    empty_title = "No skins yet"
    empty_text = "Add the first one: its tag, where it came from, what it weighed green."
    action = ("Add a skin", "skin_new")
    labelled = "tag"
    needs = Act.SHED


class SkinNew(EntryView):
    title = "Add a skin"
    trail = ("skins",)
    template_name = "inventory/skins/new.html"
    form_class = NewSkinForm
    submit = "Add"
    cancel_page = "skins"
    opens_made = True
    success_message = "{self.made.tag} is added."

    def get_initial(self) -> dict[str, Any]:
        """The next free tag; `?like=H01` repeats what skins of one lot have in common."""
        initial: dict[str, Any] = {"tag": skins_read.next_tag()}
        like = skins_read.skins().filter(tag=self.request.GET.get("like", "")).first()
        if like:
            written = SkinForm.written(like)
            initial |= {name: written[name] for name in LIKE}
            initial |= {"owner": like.owner, "how": like.how, "date_in": like.date_in, "price": like.paid or None}
            initial["tax_percent"] = like.tax_percent
            initial |= {"place": like.place, "another": True}
        return initial

    def odd(self, form: NewSkinForm) -> Iterable[Odd]:
        species = form.cleaned_data["species"]
        return form.odd(species), (form["price"], skins_read.odd_price(species, form.cleaned_data["price"]))

    def enter(self, form: NewSkinForm) -> Skin:
        data = form.cleaned_data
        self.another = data["another"]
        with transaction.atomic():
            fixed = {name: data[name] for name in ("owner", "place", "date_in", "how")}
            bought = {name: data.get(name) for name in ("tax_percent", "original_sum")}
            bought |= {"with_tax": True, "original_currency": data["original_currency"]}
            details = _details(form, by=self.request.user, **fixed, **bought, price=data["price"] or Decimal(0))
            return skins.take_in(
                tag=data["tag"], details=details, by=self.request.user, request_key=data["request_key"]
            )

    def get_success_url(self) -> str:
        if not self.another:
            return super().get_success_url()
        further = {"like": self.made.tag, "next": back_to(self.request, "")}
        return f"{reverse('skin_new')}?{urlencode({name: value for name, value in further.items() if value})}"


class SkinEdit(About[Skin]):
    things = staticmethod(skins_read.skins)
    form_class = SkinForm
    title = "Edit {self.thing.tag}"
    lead = "Owner, price and day of arrival are in the books and stay as they were written."
    template_name = "inventory/places/moves/described.html"
    success_message = "{self.thing.tag} is changed."

    def get_initial(self) -> dict[str, Any]:
        return SkinForm.written(self.thing)

    def odd(self, form: SkinForm) -> Iterable[Odd]:
        return [form.odd(form.cleaned_data["species"], self.thing)] if "green_weight" in form.changed_data else []

    def enter(self, form: SkinForm) -> Skin:
        with transaction.atomic():
            fixed = {name: getattr(self.thing, name) for name in ("owner", "date_in", "price")}
            details = _details(form, by=self.request.user, **fixed)
            return skins.describe(skin=self.thing, details=details, by=self.request.user)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(**moves.whereabouts(self.thing, self.request.user), **more)


def _details(form: SkinForm, *, by: Person, **fixed: Any) -> skins.Details:
    """What both forms ask, as the service takes it."""
    said = {name: form.cleaned_data[name] for name in PLAIN}
    supplier = named_supplier(form.cleaned_data["supplier"], by=by)
    return skins.Details(**said, **form.measured(), **fixed, supplier=supplier)
