"""The way from a form to a service: read, call, answer. A refusal comes back beside the field it speaks of."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.contrib import messages
from django.forms import Form
from django.http import HttpResponse
from django.urls import reverse
from django.views.generic import FormView

from inventory.errors import NotAllowed, Refused

if TYPE_CHECKING:
    Page = FormView[Form]
else:
    Page = FormView  # the type takes its form's type only in the stubs


class EntryView(Page):
    """A page with one form that posts once. Subclasses give `title`, `room`, `submit` and `enter`."""

    template_name = "entry.html"
    title = ""
    room = ""
    lead = ""
    submit = "Save"
    danger = False
    cancel_name = ""
    done_message = ""
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

    def form_valid(self, form: Any) -> HttpResponse:
        try:
            self.made = self.enter(form)
        except NotAllowed:
            raise
        except Refused as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else None, str(refusal))
            return self.form_invalid(form)
        if said := self.said():
            messages.success(self.request, said)
        self.success_url = self.done_url()
        return super().form_valid(form)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(
            title=self.title,
            room=self.room,
            lead=self.lead,
            submit=self.submit,
            danger=self.danger,
            cancel=self.cancel_url(),
            **more,
        )
