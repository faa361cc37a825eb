"""Words and choices that only the page frame needs. Figures and dates are spelled by the ground floor."""

from dataclasses import dataclass
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


@dataclass(frozen=True)
class Layout:
    """How a form's seen fields stand on its page: under legends, in no group, and folded away until they are wanted."""

    groups: list[tuple[str, list[BoundField]]]
    loose: list[BoundField]
    more: list[BoundField]
    wanted: bool

    @property
    def named(self) -> str:
        return entry.named(self.more)


@register.filter
def laid_out(form: BaseForm) -> Layout:
    """Each seen field once: a field forgotten in the form's groups must still reach the page.

    What the form names in `more` is folded away, but not while an entry in it is wrong or was typed.
    """
    names = [name for name in getattr(form, "more", ()) if name in form.fields]
    more = [form[name] for name in names]
    groups = [
        (legend, kept)
        for legend, members in getattr(form, "groups", ())
        if (kept := [field for field in members if field.name not in names])
    ]
    placed = {*names, *(field.name for _, members in groups for field in members)}
    loose = [field for field in form.visible_fields() if field.name not in placed]
    typed = form.is_bound and any(name in form.changed_data for name in names)
    return Layout(groups, loose, more, typed or any(field.errors for field in more))
