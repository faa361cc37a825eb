"""The way back to the page from which a tap was made, if that is one of ours."""

from __future__ import annotations

from django.http import HttpRequest
from django.utils.http import url_has_allowed_host_and_scheme


def back_to(request: HttpRequest, otherwise: str) -> str:
    """`next` as it was sent, where it is an address of this site; a foreign one would lead the maker astray."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    ours = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    return wanted if ours else otherwise
