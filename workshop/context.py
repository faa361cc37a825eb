"""What every page's frame shows: the workshop's name, its day, the rooms."""

from typing import Any

from django.conf import settings
from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from inventory.base import selectors as workshop
from inventory.permits import Act, may

ROOMS = (
    ("Today", "today"),
    ("Skins", "skins"),
    ("Batches", "batches"),
    ("Shelf", "shelf"),
    ("Articles", "articles"),
    ("Sales", "sales"),
    ("Books", "books"),
    ("Setup", "setup"),
)


def frame(request: HttpRequest) -> dict[str, Any]:
    """Lazy, so that a page that shows no frame (a PDF, an error) asks the database nothing."""
    rooms: Any = SimpleLazyObject(lambda: _rooms(request))
    return {
        "workshop": SimpleLazyObject(workshop.current),
        "today": SimpleLazyObject(workshop.today),
        "rooms": rooms,
        "may_see_money": SimpleLazyObject(lambda: may(getattr(request, "user", None) or AnonymousUser(), Act.MONEY)),
        "zone_wanted": SimpleLazyObject(lambda: _zone_unknown() and ROOMS[-1] in rooms),
    }


def _zone_unknown() -> bool:
    """Whether nobody has said yet where the workshop stands: neither in Setup nor where the server was started."""
    return not workshop.current().time_zone and settings.TIME_ZONE == "UTC"


def _rooms(request: HttpRequest) -> tuple[tuple[str, str], ...]:
    """The rooms that this person may enter; none before signing in."""
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return ()
    shut = {"setup": Act.SETUP, "books": Act.MONEY}
    return tuple(room for room in ROOMS if room[1] not in shut or may(user, shut[room[1]]))
