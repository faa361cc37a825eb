"""Setup: the workshop, closing the books, people and their one-time links."""

from __future__ import annotations

from typing import Any

from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_safe
from sesame.utils import get_query_string
from sesame.views import LoginView

from inventory.base import selectors as workshop
from inventory.base.accounting import services as accounting
from inventory.errors import Refused
from inventory.people import services as people
from inventory.permits import Act, require
from inventory.web.forms import SureFormRoof as SureForm
from inventory.web.views import EntryView
from workshop.setup.forms import CloseForm, OwnPasswordForm, PersonForm, WorkshopForm

# For a page that shows a key: neither the browser nor anybody on the way keeps it. Not "no-referrer" as well: the page's own
# forms would then come back without their origin, and be refused as forged.
SHOWN_ONCE = {"Cache-Control": "private, no-store"}
FIELDS = ("name", "maker", "postal_address", "electronic_address", "currency", "cost_flow")


class OwnersEntry(EntryView):
    """A page that only those who may act see at all; the service refuses the rest of the way."""

    room = "Setup"
    act = Act.SETUP

    def dispatch(self, request: Any, *args: Any, **options: Any) -> Any:
        require(request.user, self.act)
        return super().dispatch(request, *args, **options)


@require_safe
def setup(request: HttpRequest) -> HttpResponse:
    require(request.user, Act.SETUP)
    people_rows = User.objects.prefetch_related("groups").order_by("-is_active", "username")
    return render(request, "workshop/setup/setup.html", {"room": "Setup", "people": people_rows})


class Workshop(OwnersEntry):
    form_class = WorkshopForm
    title = "The workshop"
    cancel_name = "setup"
    done_message = "Kept."

    def get_initial(self) -> dict[str, Any]:
        row = workshop.current()
        return {**{name: getattr(row, name) for name in FIELDS}, "on": row.today}

    def enter(self, form: WorkshopForm) -> object:
        given = form.cleaned_data
        with transaction.atomic():
            accounting.set_up(by=self.request.user, **{name: given[name] for name in FIELDS})
            return accounting.pin_today(on=given["on"], by=self.request.user)


class CloseBooks(OwnersEntry):
    form_class = CloseForm
    title = "Close the books"
    room = "Books"
    act = Act.BOOKS
    lead = "After a year end is handed in, close it: nothing can then be written into it by mistake."
    cancel_name = "books"
    submit = "Close"
    done_message = "The books are set."

    def get_initial(self) -> dict[str, Any]:
        return {"to": workshop.current().closed_to}

    def enter(self, form: CloseForm) -> object:
        return accounting.close_books(to=form.cleaned_data["to"], by=self.request.user)


class PersonNew(OwnersEntry):
    form_class = PersonForm
    title = "A new person"
    cancel_name = "setup"
    submit = "Add"

    def enter(self, form: PersonForm) -> object:
        return people.add(name=form.cleaned_data["name"], role=form.cleaned_data["role"], by=self.request.user)

    def said(self) -> str:
        return f"{self.made} can sign in with a one-time link: make one below."


class PersonRole(OwnersEntry):
    form_class = PersonForm
    title = "Another role"
    cancel_name = "setup"
    done_message = "Role changed."

    def get_initial(self) -> dict[str, Any]:
        person = self._person()
        group = person.groups.first()
        return {"name": person.username, "role": group.name if group else ""}

    def get_form(self, form_class: Any = None) -> Any:
        form = super().get_form(form_class)
        form.fields["name"].disabled = True
        return form

    def enter(self, form: PersonForm) -> object:
        return people.change_role(person=self._person(), role=form.cleaned_data["role"], by=self.request.user)

    def _person(self) -> User:
        return get_object_or_404(User, pk=self.kwargs["pk"])


class PersonShutOut(OwnersEntry):
    """Ends every session of a person and opens no new one."""

    form_class = SureForm
    lead = (
        "Every device of theirs is signed out at once and no link or password opens again. Their entries keep the name."
    )
    cancel_name = "setup"
    submit = "Shut out"
    danger = True
    done_message = "Shut out."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return {**super().get_context_data(**more), "title": f"Shut out {self._person().username}"}

    def enter(self, form: SureForm) -> object:
        return people.shut_out(person=self._person(), by=self.request.user)

    def _person(self) -> User:
        return get_object_or_404(User, pk=self.kwargs["pk"], is_active=True)


class PersonLink(OwnersEntry):
    """Makes a sign-in link that works once and shows it; the link itself is never stored."""

    form_class = SureForm
    title = "A one-time sign-in link"
    lead = "The link signs this person in once, within a day. Give it to nobody else."
    cancel_name = "setup"
    submit = "Make the link"

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        person = get_object_or_404(User, pk=self.kwargs["pk"], is_active=True)
        return {**super().get_context_data(**more), "title": f"A sign-in link for {person.username}"}

    def enter(self, form: SureForm) -> object:
        return get_object_or_404(User, pk=self.kwargs["pk"], is_active=True)

    def form_valid(self, form: Any) -> HttpResponse:
        person = self.enter(form)
        assert isinstance(person, User)  # noqa: S101 - narrows the type
        link = self.request.build_absolute_uri(reverse("sign_in_link")) + get_query_string(person)
        answer = render(self.request, "workshop/setup/link.html", {"room": "Setup", "person": person, "link": link})
        for name, value in SHOWN_ONCE.items():
            answer[name] = value
        return answer


class OwnPassword(EntryView):
    form_class = OwnPasswordForm
    title = "My password"
    cancel_name = "today"
    done_message = "Your password is set."

    def enter(self, form: OwnPasswordForm) -> object:
        user = self.request.user
        assert isinstance(user, User)  # noqa: S101 - the page needs sign-in
        try:
            validate_password(form.cleaned_data["password"], user)
        except ValidationError as fault:
            raise Refused(" ".join(fault.messages), field="password") from None
        people.set_password(person=user, password=form.cleaned_data["password"])
        update_session_auth_hash(self.request, user)
        return user


class ByLink(LoginView):  # type: ignore[misc]  # sesame has no types
    # A messenger that peeks at a link with HEAD must not use it up.
    http_method_names = ["get"]

    def login_failed(self) -> HttpResponse:
        return render(self.request, "workshop/setup/link_used.html", status=403)
