"""Addresses with a defect each, as pages once had them: what the fuzz must find, or it proves nothing."""

from __future__ import annotations

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse
from django.urls import include, path

from inventory.models import Skin

LOOKED_FOR = 50_000  # bytes that a database of the embedded kind looks for at most


def page(form: str) -> HttpResponse:
    return HttpResponse(f"<h1>Planted</h1>{form}")


def search(request: HttpRequest) -> HttpResponse:
    """Looks for words of any length."""
    if len(request.GET.get("q", "")) > LOOKED_FOR:
        raise DatabaseError
    return page('<form><input name="q"></form>')


def note(request: HttpRequest) -> HttpResponse:
    """Keeps a sign that no database of the other kind holds; where nothing is typed it asks again."""
    if request.method == "POST" and request.POST.get("name") and "\x00" in request.POST.get("note", ""):
        raise ValueError
    return page(
        '<form method="post"><input name="name"><input name="on" type="date"><textarea name="note"></textarea></form>'
    )


def turned(request: HttpRequest) -> HttpResponse:
    """Takes what stands in its links for a number."""
    Skin.objects.filter(pk=int(request.GET.get("turn", "1"))).first()
    return page('<a href="?turn=2">on</a>')


def sound(request: HttpRequest) -> HttpResponse:
    return page('<form><input name="q"></form><form method="post"><input name="note"></form>')


urlpatterns = [
    path("planted/search/", search),
    path("planted/note/", note),
    path("planted/turned/", turned),
    path("planted/sound/", sound),
    path("", include("workshop.urls")),
]
