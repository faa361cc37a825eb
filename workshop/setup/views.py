"""Setup: the workshop, closing the books, people and their one-time links."""

from collections.abc import Iterable
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST, require_safe

from costing.sell.sales.terms import selectors as terms_read, services as terms
from inventory.base import selectors as workshop
from inventory.base.accounting import selectors as accounting_read, services as accounting
from inventory.errors import Refused
from inventory.people import services as people
from inventory.people.links import services as links
from inventory.people.links.models import Door
from inventory.people.passkeys import selectors as passkeys_read, services as passkeys
from inventory.permits import Act, require
from inventory.web.questions import Odd
from inventory.web.views import About, EntryView
from workshop.setup import door, suggestions
from workshop.setup.forms import CloseForm, OwnNameForm, PersonForm, WhereForm, WorkshopForm

FIELDS = (*("name", "maker", "postal_address", "electronic_address", "stand_in"), *("currency", "cost_flow"))
WHERE = ("locale", "country", "units", "paper", "paper_language", "bath_unit", "degrees", "time_zone", "tax_name")


def shown_once(request: HttpRequest, template: str, section: str, **context: Any) -> HttpResponse:
    """A page with a key that is never shown again."""
    answer = render(request, template, {"section": section, **context})
    # Neither the browser nor anybody on the way keeps it. Not "no-referrer" as well: the page's own forms would then come
    # back without their origin, and be refused as forged.
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_safe
def setup(request: HttpRequest) -> HttpResponse:
    require(request.user, Act.SETUP)
    people_rows = User.objects.prefetch_related("groups", "passkeys").order_by("-is_active", "username")
    method = accounting_read.method_words(workshop.today())
    return render(request, "workshop/setup/setup.html", {"section": "Setup", "people": people_rows, "method": method})


class _OfSetup(EntryView):
    trail = ("setup",)
    needs = Act.SETUP
    cancel_page = "setup"


class Workshop(_OfSetup):
    form_class = WorkshopForm
    title = "The workshop"
    success_message = "Saved."

    def get_initial(self) -> dict[str, Any]:
        row = workshop.current()
        return {**{name: getattr(row, name) for name in FIELDS}, "on": row.today}

    def odd(self, form: WorkshopForm) -> Iterable[Odd]:
        yield form["cost_flow"], accounting_read.asked_of_cost_flow(form.cleaned_data["cost_flow"])

    def enter(self, form: WorkshopForm) -> object:
        found = form.cleaned_data
        with transaction.atomic():
            accounting.set_up(by=self.request.user, **{name: found[name] for name in FIELDS})
            return accounting.pin_today(on=found["on"], by=self.request.user)


class WhereYouWork(_OfSetup):
    """A country's own ways, each of which may be changed; `propose` fills the page in from the locale and keeps nothing yet."""

    form_class = WhereForm
    template_name = "workshop/setup/where.html"
    title = "Where you work"
    lead = "How figures, days and measures are written, and what is printed on. What is in the books stays as it is."
    success_message = "Saved. From now on every page and paper is written so."

    def get_initial(self) -> dict[str, Any]:
        row = workshop.current()
        return {**{name: getattr(row, name) for name in WHERE}, "law": terms_read.terms().law}

    def post(self, request: HttpRequest, *args: Any, **options: Any) -> HttpResponse:
        if "propose" not in request.POST:
            return super().post(request, *args, **options)
        typed = self.form_as_typed(request.POST)
        try:
            found = suggestions.of(request.POST.get("locale", ""))
        except Refused as refusal:
            form = self.get_form()
            self.point(form, refusal)
            return self.form_invalid(form)
        typed.initial = {**typed.initial, **found}
        return self.render_to_response(self.get_context_data(form=typed, proposed=found.get("locale")))

    def enter(self, form: WhereForm) -> object:
        found = form.cleaned_data
        with transaction.atomic():
            terms.set_law(law=found["law"], by=self.request.user)
            return accounting.set_up(by=self.request.user, **{name: found[name] for name in WHERE})


@require_POST
def guess_zone(request: HttpRequest) -> HttpResponse:
    """What the owner's device says of its time zone; sent by the page itself, so the answer is empty."""
    accounting.guess_time_zone(zone=request.POST.get("zone", ""), by=request.user)
    return HttpResponse(status=204)


class CloseBooks(EntryView):
    form_class = CloseForm
    template_name = "workshop/setup/closings.html"
    title = "Close the books"
    trail = ("books",)
    needs = Act.BOOKS
    lead = "After a year end is handed in, close it: nothing can then be written into it by mistake."
    cancel_page = "books"
    submit = "Close"
    success_message = "The books are set."

    def get_initial(self) -> dict[str, Any]:
        return {"to": workshop.current().closed_to}

    def enter(self, form: CloseForm) -> object:
        return accounting.close_books(**self.given(form))

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(closings=accounting_read.closings(), **more)


class PersonNew(_OfSetup):
    form_class = PersonForm
    title = "A new person"
    submit = "Add"
    success_message = "{self.made} can sign in with a one-time link: make one below."

    def enter(self, form: PersonForm) -> object:
        return people.add(**self.given(form))


class _OfPerson(_OfSetup, About[User]):
    """An entry about one person who may sign in."""

    def things(self) -> QuerySet[User]:
        return User.objects.filter(is_active=True)


class PersonRole(_OfPerson):
    things = staticmethod(User.objects.all)
    form_class = PersonForm
    title = "Another role"
    success_message = "Role changed."

    def get_initial(self) -> dict[str, Any]:
        group = self.thing.groups.first()
        return {"name": self.thing.username, "role": group.name if group else ""}

    def get_form(self, form_class: Any = None) -> Any:
        form = super().get_form(form_class)
        form.fields["name"].disabled = True
        return form

    def enter(self, form: PersonForm) -> object:
        return people.change_role(person=self.thing, role=form.cleaned_data["role"], by=self.request.user)


class PersonShutOut(_OfPerson):
    """Ends every session of a person and opens no new one."""

    title = "Shut out {self.thing.username}"
    lead = (
        "Every device of theirs is signed out at once and no link, password or passkey opens again. Their passkeys are removed; "
        "their entries keep the name."
    )
    submit = "Shut out"
    danger = True
    success_message = "Shut out."

    def enter(self, form: Any) -> object:
        return people.shut_out(person=self.thing, by=self.request.user)


class PersonLink(_OfPerson):
    """Makes a sign-in link that works once and shows it; of the link itself only a digest is kept."""

    title = "A sign-in link for {self.thing.username}"
    lead = "The link signs this person in once, within a day. Give it to nobody else."
    submit = "Make the link"

    def form_valid(self, form: Any) -> HttpResponse:
        key = links.make(person=self.thing, door=Door.LINK, by=self.request.user)
        link = self.request.build_absolute_uri(door.path(key))
        return shown_once(self.request, "workshop/setup/link.html", "Setup", person=self.thing, link=link)


class PersonPasskeys(_OfPerson):
    """Removes all passkeys of a person: of whoever lost a device, or left one behind."""

    title = "Remove the passkeys of {self.thing.username}"
    lead = (
        "They open nothing any more, at once: {self.names}. Password and links stay good, and who is signed in stays so. "
        "Shut out ends everything."
    )
    submit = "Remove them"
    danger = True
    success_message = "The passkeys are removed."

    @property
    def names(self) -> str:
        return ", ".join(each.name for each in passkeys_read.own(self.thing)) or "there are none"

    def enter(self, form: Any) -> object:
        return passkeys.end(person=self.thing, by=self.request.user)


class OwnName(EntryView):
    form_class = OwnNameForm
    title = "My sign-in name"
    lead = "You stay signed in, and your links and password stay good: only the name that you sign in with is another."
    cancel_page = "today"
    success_message = "Your sign-in name is {self.made.username}."

    def get_initial(self) -> dict[str, Any]:
        return {"name": self.request.user.get_username()}

    def enter(self, form: OwnNameForm) -> User:
        user = self.request.user
        assert isinstance(user, User)  # noqa: S101 - the page needs sign-in
        return people.rename(person=user, name=form.cleaned_data["name"])
