"""Words and choices that only the page frame needs. Figures and dates are spelled by the ground floor."""

from datetime import timedelta

from django import template
from django.contrib.messages.storage.base import Message
from django.forms import BaseForm
from django.forms.boundfield import BoundField

from inventory.web import forms as entry
from inventory.web.views import UNDO

register = template.Library()
register.simple_tag(entry.fresh_key)


@register.filter
def undo_address(message: Message) -> str:
    """Where one tap undoes what the message tells; empty when there is no such tap.

    >>> undo_address(Message(25, "Turned.", "undo:/marks/3/undo/")), undo_address(Message(25, "Kept."))
    ('/marks/3/undo/', '')
    """
    tags = str(message.extra_tags or "")
    return tags.removeprefix(UNDO) if tags.startswith(UNDO) else ""


@register.filter
def inside(path: str, room: str) -> bool:
    """Whether the address `path` lies in the room that begins at the address `room`.

    The front door (an address of one slash) is a room of its own, or it would hold every page.

    >>> inside("/skins/H01/", "/skins/"), inside("/setup/skins/", "/skins/"), inside("/skins/", "/")
    (True, False, False)
    """
    return path == room or (room.count("/") > 1 and path.startswith(room))


@register.filter
def in_words(span: timedelta | None) -> str:
    """A waiting time in whole minutes, rounded up so that nobody comes back too early.

    >>> in_words(timedelta(minutes=15)), in_words(timedelta(seconds=61)), in_words(timedelta(hours=2)), in_words(None)
    ('15 minutes', '2 minutes', '2 hours', 'a while')
    """
    if span is None:
        return "a while"
    minutes = max(1, -(-span // timedelta(minutes=1)))
    count, word = (minutes // 60, "hour") if minutes % 60 == 0 else (minutes, "minute")
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


@register.filter
def loose(form: BaseForm) -> list[BoundField]:
    """The seen fields that stand in none of the form's `groups`: a field forgotten there must still reach the page."""
    grouped = {field.name for _, members in getattr(form, "groups", ()) for field in members}
    return [field for field in form.visible_fields() if field.name not in grouped]
