"""One's own phone signed in by a code on the screen: a link for oneself, that opens once and within minutes."""

from typing import Any

from django.contrib.auth.models import User
from django.http import HttpResponse

from inventory.people.links import services as links
from inventory.people.links.models import Door
from inventory.web.views import EntryView
from workshop.phone import addresses
from workshop.setup import door
from workshop.setup.views import shown_once


class Phone(EntryView):
    template_name = "workshop/phone/phone.html"
    title = "Connect a phone"
    submit = "Show the code"
    cancel_page = "today"

    def way(self) -> addresses.Way:
        return addresses.way(f"{self.request.scheme}://{self.request.get_host()}")

    def form_valid(self, form: Any) -> HttpResponse:
        way = self.way()
        if not way.address:
            return self.form_invalid(form)
        person = self.request.user
        assert isinstance(person, User)  # noqa: S101 - the page needs sign-in
        key = links.make(person=person, door=Door.PHONE, by=person)
        link = f"{way.address}{door.path(key, Door.PHONE)}"
        lives = links.LIVES[Door.PHONE]
        return shown_once(
            self.request, "workshop/phone/code.html", "", way=way, link=link, code=drawn(link), lives=lives
        )

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(way=self.way(), **more)


def drawn(link: str) -> str:
    """The QR code as SVG, dark on white in every theme, with the quiet zone that the standard asks for."""
    import segno  # this page alone draws codes

    return segno.make(link, error="m", micro=False).svg_inline(scale=6, light="#fff", svgclass="code", lineclass=None)
