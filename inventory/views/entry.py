"""The way from a form to a service: read, call, answer. A refusal comes back beside the field it speaks of."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpResponse
from django.urls import reverse
from django.views.generic import FormView

from inventory.errors import NotAllowed, Refused, SentBefore
from inventory.forms import entry
from inventory.services import requests
from inventory.views import kept

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
            with requests.saying(entry.said(form)):
                self.made = self.enter(form)
        except NotAllowed:
            raise
        except Refused as refusal:
            if isinstance(refusal, SentBefore):
                entry.renew_key(form)
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
