"""An entry about one thing that has a page: it begins and ends there, and the way back names its room.

Owns which room and which page a skin, a piece and a material have; pages of the floor above are known by name only.
"""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils.functional import cached_property

from inventory.models import Article, Material, Skin
from inventory.services.moves import Thing
from inventory.views.entry import EntryView

ROOMS = {Article: ("Articles", "articles"), Skin: ("Skins", "skins"), Material: ("Shelf", "shelf")}
PAGES = {Article: ("article", "number"), Skin: ("skin", "tag"), Material: ("material", "code")}


def address(thing: Thing, name: str = "") -> str:
    """The address called `name` of a thing; its own page without one."""
    page, code = PAGES[type(thing)]
    return reverse(name or page, args=[getattr(thing, code)])


class About(EntryView):
    """Subclasses give `thing`."""

    template_name = "inventory/entry.html"

    @cached_property
    def thing(self) -> Thing:
        raise NotImplementedError

    def done_url(self) -> str:
        return address(self.thing)

    def cancel_url(self) -> str:
        return address(self.thing)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        room, rooms = ROOMS[type(self.thing)]
        trail = [(room, reverse(rooms)), (str(self.thing), address(self.thing))]
        return {**super().get_context_data(trail=trail, **more), "room": room}
