"""Turns a refusal that no form caught into a page or message that says what to do; keeps the workshop's row for one request."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme

from inventory.errors import NotAllowed, Refused
from inventory.selectors import workshop


class Refusals:
    """`inventory.errors.Refused` raised in a view: a message on the page it came from; a role too small: 403."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with workshop.remembered():
            return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        if isinstance(exception, NotAllowed):
            return render(request, "403.html", {"exception": exception}, status=403)
        if not isinstance(exception, Refused):
            return None
        messages.error(request, str(exception))
        back = request.headers.get("referer", "")
        here = {request.get_host()}
        if url_has_allowed_host_and_scheme(back, allowed_hosts=here, require_https=request.is_secure()):
            return redirect(back)
        return redirect("today")
