"""The calendar of what the shed asks for: the feed behind a private link, and the page where one's own links are made and ended."""

from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.models import User
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from costing.make.steps.calendar import services as calendar
from costing.models import CalendarLink
from inventory.base import selectors as workshop
from inventory.permits import Act
from inventory.web.views import About, EntryView
from workshop.setup.forms import CalendarForm
from workshop.setup.views import shown_once

ENDED_SHOWN = 5
KEEP_OUT = {"Cache-Control": "private, no-store", "Referrer-Policy": "no-referrer", "X-Robots-Tag": "noindex"}


@login_not_required
@require_safe
def feed(request: HttpRequest, token: str) -> HttpResponse:
    """The calendar itself. A calendar program has no sign-in: the link is the key, and every wrong one is answered alike."""
    # icalendar takes a fifth of a second to load: not with every page.
    from workshop.calendar import feed as paper

    if calendar.opened(token) is None:
        return HttpResponse("There is no such calendar.\n", "text/plain; charset=utf-8", 404, headers=KEEP_OUT)
    return HttpResponse(paper.write(workshop.today(), timezone.now()), paper.CONTENT_TYPE, headers=KEEP_OUT)


class CalendarLinks(EntryView):
    """One's own links. A new one is shown once, on the answer to this form, and never again."""

    needs = Act.SHED
    trail = ("today",)
    title = "The shed in a calendar"
    template_name = "workshop/calendar/links.html"
    form_class = CalendarForm
    submit = "Make a link"
    cancel_page = "today"

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        links = CalendarLink.objects.filter(person=self._person())
        return super().get_context_data(
            open_links=[(link, workshop.day_of(link.made_at)) for link in links if link.ended_at is None],
            ended=[(link, workshop.day_of(link.ended_at)) for link in links if link.ended_at][:ENDED_SHOWN],
            **more,
        )

    def enter(self, form: Any) -> object:
        return calendar.make(by=self._person(), **form.cleaned_data)

    def form_valid(self, form: Any) -> HttpResponse:
        answer = super().form_valid(form)
        if self.made is None:
            return answer
        link, token = self.made
        address = self.request.build_absolute_uri(reverse("calendar", args=[token]))
        webcal = f"webcal:{address.partition(':')[2]}"
        return shown_once(
            self.request, "workshop/calendar/link.html", "Today", link=link, address=address, webcal=webcal
        )

    def _person(self) -> User:
        person = self.request.user
        assert isinstance(person, User)  # noqa: S101 - the page needs sign-in
        return person


class CalendarEnd(About[CalendarLink]):
    needs = Act.SHED
    trail = ("today",)
    title = "End the link “{self.thing.name}”?"
    lead = "Whatever reads this link gets nothing any more, at once. What it has read before stays where it is."
    cancel_page = "calendar_links"
    submit = "End the link"
    danger = True
    success_message = "The link is ended."

    def things(self) -> QuerySet[CalendarLink]:
        return CalendarLink.objects.filter(person_id=self.request.user.pk)

    def enter(self, form: Any) -> object:
        return calendar.end(link=self.thing, by=self.thing.person)
