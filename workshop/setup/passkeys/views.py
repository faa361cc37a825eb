"""Pages of passkeys: one's own with a way to add one, the sign-in by one, and an owner's page to remove somebody's."""

import json
from typing import Any

from django.contrib import messages
from django.contrib.auth import authenticate, login
from django.contrib.auth.models import User
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import urlencode
from django.views import View
from django.views.decorators.http import require_POST

from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.people.passkeys import ceremony, selectors as reading, services as passkeys
from inventory.people.passkeys.models import Passkey
from inventory.people.passkeys.rules import Site
from inventory.web.views import About, EntryView, back_to
from workshop.setup.passkeys import challenges, proven
from workshop.setup.passkeys.challenges import For
from workshop.setup.passkeys.forms import PasskeyAnswerForm, PasskeyForm

# In the session between the two halves of adding one.
_NAME = "passkey_name"


def site_of(request: HttpRequest) -> Site:
    """The site as this browser has it: a host that the settings allow, and https as the proxy says that we believe."""
    return Site(request.scheme or "http", request.get_host())


@require_POST
def options(request: HttpRequest) -> HttpResponse:
    """A challenge for whoever wants to sign in; the page asks for it when the button is pressed."""
    return JsonResponse(ceremony.ask(site=site_of(request), challenge=challenges.draw(request, For.SIGN_IN)))


class SignInByPasskey(View):
    """All that opens nothing is answered alike."""

    http_method_names = ["post"]

    def post(self, request: HttpRequest) -> HttpResponse:
        asked, answer, site = challenges.take(request, For.SIGN_IN), request.POST.get("answer", ""), site_of(request)
        person = self._person(answer, asked["challenge"], site) if asked else None
        if person is None:
            messages.error(
                request, "No passkey opened. Try once more, or sign in with your name and password or by a link."
            )
            wanted = back_to(request, "")
            return redirect(f"{reverse('sign_in')}?{urlencode({'next': wanted})}" if wanted else reverse("sign_in"))
        login(request, person, backend="django.contrib.auth.backends.ModelBackend")
        proven.note(request)
        return redirect(back_to(request, reverse("today")))

    def _person(self, answer: str, challenge: bytes, site: Site) -> User | None:
        name = ceremony.credential(answer)
        known = reading.named(name, site.name)
        called = known.person.get_username() if known else f"passkey {name[:24]}"
        given = {"answer": answer, "challenge": challenge, "site": site}
        found = authenticate(self.request, username=called, passkey=given)
        return found if isinstance(found, User) else None


class _Own(EntryView):
    def person(self) -> User:
        person = self.request.user
        assert isinstance(person, User)  # noqa: S101 - the page needs sign-in
        return person


class OwnPasskeys(_Own):
    """One's own passkeys, and the first half of adding one: its name, and who it is that adds it."""

    form_class = PasskeyForm
    template_name = "workshop/setup/passkeys.html"
    title = "My passkeys"
    submit = "Go on"
    cancel_page = "today"

    def get_form(self, form_class: Any = None) -> Any:
        form = super().get_form(form_class)
        if proven.lately(self.request):
            del form.fields["old"]
        return form

    def why_not(self) -> str:
        """Why none can be added from here; nothing where one can."""
        if sentence := site_of(self.request).why_not:
            return sentence
        if not self.person().has_usable_password() and not proven.lately(self.request):
            return "To add one, set a password first, or sign in anew by a link from another owner."
        return ""

    def enter(self, form: PasskeyForm) -> object:
        if sentence := self.why_not():
            raise Refused(sentence)
        name, old = passkeys.named(form.cleaned_data["name"]), form.cleaned_data.get("old")
        # Wrong ones count as at the sign-in. Who finds a device signed in must not keep it so.
        known = {"username": self.person().get_username(), "password": old}
        if "old" in form.fields:
            if authenticate(self.request, **known) is None:
                raise Refused("This is not your password.", field="old")
            proven.note(self.request)
        self.request.session[_NAME] = name
        return name

    def get_success_url(self) -> str:
        return reverse("passkey_new")

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        rows = [
            (each, workshop.day_of(each.made_at), workshop.day_of(each.used_at) if each.used_at else None)
            for each in reading.own(self.person())
        ]
        here = site_of(self.request).name
        return super().get_context_data(passkeys=rows, here=here, why_not=self.why_not(), **more)


class PasskeyNew(_Own):
    """The second half: the device makes the key, while it is still known who sits there."""

    form_class = PasskeyAnswerForm
    template_name = "workshop/setup/passkey_new.html"
    section = "Setup"
    trail = ("own_passkeys",)
    title = "A passkey on this device"
    submit = "Make the passkey"
    cancel_page = "own_passkeys"
    success_message = "The passkey “{self.made.name}” opens from now on."

    def dispatch(self, request: HttpRequest, *args: Any, **options: Any) -> HttpResponseBase:
        if _NAME not in request.session or not proven.lately(request):
            return redirect("own_passkeys")
        return super().dispatch(request, *args, **options)

    def enter(self, form: PasskeyAnswerForm) -> Passkey:
        asked = challenges.take(self.request, For.NEW)
        if asked is None:
            raise ceremony.Unproven
        name, answer = self.request.session[_NAME], form.cleaned_data["answer"]
        added = passkeys.add(person=self.person(), name=name, answer=answer, site=site_of(self.request), **asked)
        del self.request.session[_NAME]
        return added

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        person, site = self.person(), site_of(self.request)
        handle = passkeys.handle_of(person)
        asked = ceremony.ask_new(
            site=site,
            challenge=challenges.draw(self.request, For.NEW, handle=handle),
            handle=handle,
            person=person.get_username(),
            workshop=workshop.current().name,
            known=reading.own(person).filter(site=site.name).values_list("credential", flat=True),
        )
        return super().get_context_data(options=json.dumps(asked), name=self.request.session[_NAME], **more)


class PasskeyRemove(About[Passkey]):
    """One's own."""

    section = "Setup"
    trail = ("own_passkeys",)
    title = "Remove the passkey “{self.thing.name}”?"
    lead = (
        "It opens nothing any more, at once. A device that is signed in stays so until it signs out: another password ends "
        "that. Delete the passkey on the device too, or it goes on being offered there."
    )
    cancel_page = "own_passkeys"
    submit = "Remove"
    danger = True
    success_message = "The passkey is removed."

    def things(self) -> QuerySet[Passkey]:
        return Passkey.objects.filter(person_id=self.request.user.pk)

    def enter(self, form: Any) -> object:
        return passkeys.remove(passkey=self.thing, by=self.thing.person)
