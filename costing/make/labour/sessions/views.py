"""Pages of timed sessions: what runs now, starting a timer on skins, stopping, dropping and undoing it."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_POST

from costing.make.labour.sessions import selectors as sessions_read, services as sessions
from costing.make.labour.sessions.forms import DropForm, StartForm, StopForm
from costing.make.labour.sessions.models import WorkSession
from inventory import formats
from inventory.web.questions import Odd
from inventory.web.views import EntryView, back_to


class SessionStart(EntryView):
    """The page of the timers. `?skin=` taps skins beforehand, `?batch=` all of a batch, `?task=` a task."""

    form_class = StartForm
    template_name = "costing/make/labour/sessions/sessions.html"
    title = "Softening sessions"
    trail = ("batches",)
    submit = "Start timer"
    cancel_page = "sessions"
    keeps = True
    words_of = "skins task other"
    made: WorkSession

    @cached_property
    def running(self) -> list[sessions_read.Running]:
        return sessions_read.running()

    @cached_property
    def groups(self) -> list[Any]:
        return sessions_read.choices(self.running)

    def form_options(self) -> dict[str, Any]:
        return {"skins": [choice.skin for _, group in self.groups for choice in group]}

    def get_initial(self) -> dict[str, Any]:
        asked = self.request.GET
        of_batch = [
            choice.skin.tag
            for batch, group in self.groups
            if batch and batch.number == asked.get("batch")
            for choice in group
        ]
        return {"skins": asked.getlist("skin") or of_batch, "other": asked.get("task", "")}

    def waiting_words(self) -> str:
        return "Start timer"

    def enter(self, form: forms.Form) -> WorkSession:
        found = self.sent(form)
        return sessions.start(tags=found.pop("skins"), **found)

    def get_success_message(self) -> str:
        return f"The timer runs on {', '.join(sessions_read.of(self.made).tags)}. It runs on while the phone sleeps."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        form = more.get("form") or self.get_form()
        chosen = {str(tag) for tag in form["skins"].value() or []}
        return super().get_context_data(
            **{**more, "form": form},
            running=self.running,
            own=any(row.session.who == self.request.user for row in self.running),
            groups=self.groups,
            chosen=chosen,
            opened=[
                batch.number if batch else ""
                for batch, group in self.groups
                if chosen & {choice.skin.tag for choice in group}
            ],
        )


class _OfSession(EntryView):
    """An entry on the session whose key comes with the address or with the form."""

    template_name = "costing/make/labour/sessions/entry.html"
    trail = ("batches", "sessions")
    cancel_page = "sessions"
    made: WorkSession

    @cached_property
    def session(self) -> WorkSession | None:
        key = self.request.POST.get("key") or self.request.GET.get("key", "")
        return WorkSession.objects.filter(key=key[:64]).first()

    def get_lead(self) -> str:
        if self.session is None:
            return ""
        of = sessions_read.of(self.session)
        return f"{of.session.task.capitalize()} on {', '.join(of.tags)}, {of.ran} since {sessions.clock(of.session.started_at)}."

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Without a key, as when a page that was refused is opened anew: to the timers, which lead here with theirs."""
        return super().get(request, *args, **kwargs) if "key" in request.GET else redirect("sessions")

    def get_initial(self) -> dict[str, Any]:
        if self.session is None:
            raise Http404
        return {"key": self.session.key}


class SessionStop(_OfSession):
    """One tap from the list of timers; by itself the page for entering the minutes by hand."""

    form_class = StopForm
    title = "Stop timer"
    submit = "Stop timer"
    keeps = True

    def get_initial(self) -> dict[str, Any]:
        # A stop that waited may come before its start was taken: then the service says so, in words.
        return {} if self.request.method == "POST" else super().get_initial()

    def odd(self, form: forms.Form) -> Iterable[Odd]:
        if self.session is not None:
            typed, at = form.cleaned_data["minutes"], form.cleaned_data["at"]
            yield form["minutes"], sessions_read.odd_stop(self.session, at, typed)

    def enter(self, form: forms.Form) -> WorkSession:
        found = self.sent(form)
        del found["next"]
        return sessions.stop(**found)

    def get_success_url(self) -> str:
        return back_to(self.request, reverse("sessions"))

    def get_success_message(self) -> str:
        of = sessions_read.of(self.made)
        if of.session.labour is None:  # its stop was undone meanwhile, and this is the old tap once more
            return ""
        done = sessions_read.answered(of.session)
        answered = f" {done}: done." if done else ""
        return f"{formats.plain(of.session.labour.minutes)} min {of.session.task} on {', '.join(of.tags)} are logged.{answered}"

    def undo_url(self) -> str:
        return reverse("session_undo", args=[self.made.pk])


class SessionDrop(_OfSession):
    form_class = DropForm
    title = "Drop this timer?"
    submit = "Drop it"
    danger = True
    success_message = "The timer is dropped; nothing was counted."

    def get_lead(self) -> str:
        return f"{super().get_lead()} For one that was started by mistake: none of these minutes are counted."

    def enter(self, form: forms.Form) -> WorkSession:
        return sessions.drop(key=form.cleaned_data["key"], by=self.request.user)


@require_POST
def undo(request: HttpRequest, pk: int) -> HttpResponse:
    """One tap within ten seconds: the timer runs on as if it had never been stopped."""
    sessions.undo_stop(session=get_object_or_404(WorkSession, pk=pk), by=request.user)
    messages.success(request, "The timer runs on as before.")
    return redirect(back_to(request, reverse("sessions")))
