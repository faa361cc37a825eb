"""An entry about one thing that has a page: it begins and ends there, and the way back names its room.

Owns which room and which page a skin, a piece and a material have; pages of the floor above are known by name only.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.functional import cached_property
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.generic import FormView

from inventory.base import services as entries
from inventory.errors import NotAllowed, Refused, SentBefore
from inventory.web import forms as web_forms
from inventory.web import offline as kept


def back_to(request: HttpRequest, otherwise: str) -> str:
    """`next` as it was sent, where it is an address of this site; a foreign one would lead the maker astray."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    ours = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    return wanted if ours else otherwise


if TYPE_CHECKING:
    Page = FormView[Form]
else:
    Page = FormView  # the type takes its form's type only in the stubs


# Before the address in a message's extra tags; parts/messages.html draws the button.
UNDO = "undo:"


class EntryView(Page):
    """A page with one form that posts once. Subclasses give `title`, `room`, `submit` and `enter`.

    `keeps`: the entry waits on the device while there is no signal, under the words of `words()` and what is
    chosen in the fields that `words_of` names (with spaces); see `views/kept.py`.
    `undo_url()`: the address that takes the entry back by one tap, offered for ten seconds beside the message after.
    """

    template_name = "entry.html"
    title = ""
    room = ""
    lead = ""
    submit = "Save"
    danger = False
    cancel_name = ""
    done_message = ""
    keeps = False
    words_of = ""
    made: Any = None

    def enter(self, form: Any) -> object:
        """Call the one service; what it returns is kept in `self.made`."""
        raise NotImplementedError

    def done_url(self) -> str:
        """Where to go after."""
        return reverse(self.cancel_name)

    def cancel_url(self) -> str:
        return reverse(self.cancel_name) if self.cancel_name else ""

    def said(self) -> str:
        """The message after; may use `self.made`."""
        return self.done_message

    def undo_url(self) -> str:
        """Where one tap undoes what was just made; may use `self.made`. Empty: there is no such tap."""
        return ""

    def words(self) -> str:
        """What the entry is called while it waits for a signal."""
        return str(self.title)

    def form_valid(self, form: Any) -> HttpResponse:
        try:
            with entries.saying(web_forms.said(form)):
                self.made = self.enter(form)
        except NotAllowed:
            raise
        except Refused as refusal:
            if isinstance(refusal, SentBefore):
                web_forms.renew_key(form)
            form.add_error(refusal.field if refusal.field in form.fields else None, str(refusal))
            return self.form_invalid(form)
        if said := self.said():
            undo = self.undo_url()
            messages.success(self.request, said, extra_tags=UNDO + undo if undo else "")
        self.success_url = self.done_url()
        if kept.asked(self.request):
            return kept.written(said, self.success_url)
        return super().form_valid(form)

    def form_invalid(self, form: Any) -> HttpResponse:
        if kept.asked(self.request):
            return kept.refused(kept.complaints(form))
        return super().form_invalid(form)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(
            title=self.title,
            room=self.room,
            lead=self.lead,
            submit=self.submit,
            danger=self.danger,
            cancel=self.cancel_url(),
            keeps=self.keeps,
            words=self.words() if self.keeps else "",
            words_of=self.words_of,
            **more,
        )


def address(thing: Any, name: str = "") -> str:
    """The address called `name` of a thing; its own page without one."""
    page, code = thing.PAGE
    return reverse(name or page, args=[getattr(thing, code)])


class About(EntryView):
    """Subclasses give `thing`."""

    template_name = "inventory/web/entry.html"

    @cached_property
    def thing(self) -> Any:
        raise NotImplementedError

    def done_url(self) -> str:
        return address(self.thing)

    def cancel_url(self) -> str:
        return address(self.thing)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        room, rooms = self.thing.SECTION
        trail = [(room, reverse(rooms)), (str(self.thing), address(self.thing))]
        return {**super().get_context_data(trail=trail, **more), "room": room}
