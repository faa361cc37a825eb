"""Signing in by a link that works once."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from sesame.views import LoginView


class ByLink(LoginView):  # type: ignore[misc]  # sesame has no types
    # A messenger that peeks at a link with HEAD must not use it up.
    http_method_names = ["get"]

    def login_failed(self) -> HttpResponse:
        return render(self.request, "link_used.html", status=403)
