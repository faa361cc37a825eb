"""Turns a refusal that no form caught into a page or message that says what to do; keeps the workshop's row for one request,
in which days and times are those of the place where the workshop stands.

Asks a stranger to sign in: with the sign-in page, or in few words where a page waits with an entry. Lets no browser keep an
answer, and turns away what is too large before it is read.
"""

from collections.abc import Callable
from contextlib import nullcontext

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

from inventory import formats
from inventory.base import pictures, selectors as workshop
from inventory.errors import NotAllowed, Refused
from inventory.web import offline as kept
from workshop import proxy

# A stranger sends a name and a password, or the key of a link.
STRANGERS = 64 * 1024
# Whoever asks so writes nothing of the workshop's.
LOOKS = ("GET", "HEAD")


class KeptByNobody:
    """After a sign-out, Back asks the server. Every answer says so, photos and papers too, and that of a page not yet written;
    files that are everybody's (`/static/`) are answered before this."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        answer["Cache-Control"] = "private, no-store"
        return answer


class TooMuch:
    """Turns away a form by the length that it says it has, before a byte of it is read: what is read is kept in memory or in a
    file, whoever sent it. Forms with a file say themselves what is too large, as long as it is no more than `MOST_SENT`."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        sent = _length(request)
        if sent <= STRANGERS:
            return self.get_response(request)
        if not request.user.is_authenticated:
            return kept.signed_out() if kept.asked(request) else self.refuse(request, sent, STRANGERS)
        with_file = request.content_type == "multipart/form-data"
        most = proxy.MOST_SENT if with_file else settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        return self.get_response(request) if sent <= most else self.refuse(request, sent, most)

    def refuse(self, request: HttpRequest, sent: int, most: int) -> HttpResponse:
        said = f"This page sent {_size(sent)} and takes at most {_size(most)}. Nothing of it was read."
        if kept.asked(request):
            return kept.refused([said], status=413)
        return render(request, "400.html", {"refusal": said}, status=413)


def _length(request: HttpRequest) -> int:
    """What the request says it carries; a server hands on no more than that."""
    try:
        return int(request.META.get("CONTENT_LENGTH") or 0)
    except ValueError:
        return 0


def _size(length: int) -> str:
    whole, unit = (length / pictures.MEGABYTE, "MB") if length >= pictures.MEGABYTE else (length / 1024, "kB")
    return f"{whole:.0f} {unit}"


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
        looks = workshop.looking() if request.method in LOOKS else nullcontext()
        with workshop.remembered(), workshop.at_home(), looks:
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
