"""Turns a refusal that no form caught into a page or message that says what to do; keeps the workshop's row for one request,
in which days and times are those of the place where the workshop stands.

Asks a stranger to sign in: with the sign-in page, or in few words where a page waits with an entry.
"""

from collections.abc import Callable

from django.contrib import messages
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

from inventory import formats
from inventory.base import selectors as workshop
from inventory.errors import NotAllowed, Refused
from inventory.web import offline as kept


class SignInFirst(LoginRequiredMiddleware):
    """Sign-in everywhere. An entry that waited for a signal must not be answered with a page that it cannot read."""

    def handle_no_permission(  # type: ignore[override]  # the stubs know redirects only
        self, request: HttpRequest, view_func: Callable[..., HttpResponseBase]
    ) -> HttpResponseBase:
        if kept.asked(request):
            return kept.signed_out()
        return super().handle_no_permission(request, view_func)


class Refusals:
    """`inventory.errors.Refused` raised in a view: a message on the page it came from; a role too small: 403."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with workshop.remembered(), workshop.at_home():
            return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        if isinstance(exception, Refused) and kept.asked(request):
            return kept.refused(
                [formats.dated(str(exception))], status=403 if isinstance(exception, NotAllowed) else 422
            )
        if isinstance(exception, NotAllowed):
            return render(request, "403.html", {"refusal": formats.dated(str(exception))}, status=403)
        if not isinstance(exception, Refused):
            return None
        back = request.headers.get("referer", "")
        here = request.build_absolute_uri()
        if not url_has_allowed_host_and_scheme(back, {request.get_host()}, require_https=request.is_secure()):
            back = request.build_absolute_uri(reverse("today"))
        if request.method in ("GET", "HEAD") and back == here:
            # Sent back to itself, the page would refuse again without end.
            return render(request, "400.html", {"refusal": formats.dated(str(exception))}, status=400)
        messages.error(request, formats.dated(str(exception)))
        return redirect(back)
