"""The door: sign-in by a password or a link, one's own password, the way out.

A link's page shows one button and uses nothing up, so that a messenger that looks at the link, or a browser that loads ahead,
does not burn it; the button does.
"""

from datetime import datetime, timedelta
from typing import Any

from django.contrib.auth import authenticate, login, update_session_auth_hash
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.contrib.auth.views import LoginView, LogoutView
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views import View

from inventory.errors import Refused
from inventory.people import services as people
from inventory.people.links import selectors as reading, services as links
from inventory.people.links.models import Door
from inventory.people.passkeys import selectors as passkeys
from inventory.web.views import EntryView
from workshop.setup.forms import OwnPasswordForm
from workshop.setup.passkeys import proven
from workshop.setup.passkeys.views import site_of

# The key's name in the address.
KEY = "key"
PAGES = {Door.LINK: "sign_in_link", Door.PHONE: "phone_link"}

# Who has forgotten the password comes in by a link of the owner's and sets another, within this time.
SPARED = timedelta(hours=1)
_SPARED_UNTIL = "old_password_spared_until"


def path(key: str, door: Door = Door.LINK) -> str:
    """The link of a key, without the name of the server."""
    return f"{reverse(PAGES[door])}?{KEY}={key}"


class SignIn(LoginView):
    """By name and password; beside it a button for a passkey, where somebody has one that was made at this address."""

    template_name = "workshop/setup/sign_in.html"
    redirect_authenticated_user = True

    def form_valid(self, form: Any) -> HttpResponse:
        answer = super().form_valid(form)
        proven.note(self.request)
        return answer

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        site = site_of(self.request)
        return super().get_context_data(passkeys=not site.why_not and passkeys.any_at(site.name), **more)


class ByLink(View):
    door = Door.LINK

    def get(self, request: HttpRequest) -> HttpResponse:
        key = request.GET.get(KEY, "")
        link = reading.opening(key, self.door)
        if link is None:
            return self.shut()
        return render(request, "workshop/setup/link_opens.html", {"person": link.person, "name": KEY, "key": key})

    def post(self, request: HttpRequest) -> HttpResponse:
        with transaction.atomic():
            link = links.use(key=request.POST.get(KEY, ""), door=self.door)
            if link is None:
                return self.shut()
            login(request, link.person, backend="django.contrib.auth.backends.ModelBackend")
        if reading.proves(link):
            request.session[_SPARED_UNTIL] = (timezone.now() + SPARED).isoformat()
            proven.note(request)
        return redirect("today")

    def shut(self) -> HttpResponse:
        return render(self.request, "workshop/setup/link_used.html", status=403)


class ByCode(ByLink):
    door = Door.PHONE


class SignOut(LogoutView):
    """What the browser keeps of the pages goes with the sign-in. Not its store: there wait entries, each bound to its person."""

    def post(self, request: HttpRequest, *args: Any, **options: Any) -> Any:
        answer: HttpResponseBase = super().post(request, *args, **options)
        answer["Clear-Site-Data"] = '"cache"'
        return answer


class OwnPassword(EntryView):
    """Another password asks for the old one, since who finds a device signed in is not always its person."""

    form_class = OwnPasswordForm
    title = "My password"
    cancel_page = "today"

    def get_form(self, form_class: Any = None) -> Any:
        form = super().get_form(form_class)
        if not self._asks_old():
            del form.fields["old"]
        return form

    def get_success_message(self) -> str:
        """Who came in by the old password may have left a passkey."""
        others = (
            " Your passkeys still open: remove those that you do not know." if passkeys.own(self.made).exists() else ""
        )
        return f"Your password is set.{others}"

    def enter(self, form: OwnPasswordForm) -> object:
        person, found = self._person(), form.cleaned_data
        # Wrong ones count as at the sign-in: who tries them all is locked out.
        known = {"username": person.get_username(), "password": found.get("old")}
        if self._asks_old() and authenticate(self.request, **known) is None:
            raise Refused("This is not the password that you have now.", field="old")
        try:
            validate_password(found["password"], person)
        except ValidationError as fault:
            raise Refused(" ".join(fault.messages), field="password") from None
        people.set_password(person=person, password=found["password"])
        update_session_auth_hash(self.request, person)
        self.request.session.pop(_SPARED_UNTIL, None)
        return person

    def _asks_old(self) -> bool:
        until = self.request.session.get(_SPARED_UNTIL)
        spared = until is not None and timezone.now() < datetime.fromisoformat(until)
        return self._person().has_usable_password() and not spared

    def _person(self) -> User:
        person = self.request.user
        assert isinstance(person, User)  # noqa: S101 - the page needs sign-in
        return person
