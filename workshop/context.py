"""What every page's frame shows: the workshop's name, its day, the rooms."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from inventory.selectors import workshop

ROOMS = (
    ("Today", "today"),
    ("Skins", "skins"),
    ("Batches", "batches"),
    ("Shelf", "shelf"),
    ("Articles", "articles"),
    ("Books", "books"),
    ("Setup", "setup"),
)


def frame(request: HttpRequest) -> dict[str, Any]:
    """Lazy, so that a page that shows no frame (a PDF, an error) asks the database nothing."""
    return {
        "workshop": SimpleLazyObject(workshop.current),
        "today": SimpleLazyObject(workshop.today),
        "rooms": ROOMS if getattr(request, "user", None) and request.user.is_authenticated else (),
    }
