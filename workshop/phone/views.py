"""One's own phone signed in by a code on the screen: a link for oneself, that opens once and within minutes."""

from datetime import timedelta
from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from sesame.utils import get_query_string

from inventory.web.views import EntryView
from workshop.phone import addresses
from workshop.setup.views import ByLink, shown_once

# A link for the phone is no link of Setup, nor the other way round: this one's time is short.
SCOPE = "phone"
LIVES = timedelta(minutes=10)


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
        link = f"{way.address}{reverse('phone_link')}{get_query_string(self.request.user, SCOPE)}"
        return shown_once(
            self.request, "workshop/phone/code.html", "", way=way, link=link, code=drawn(link), lives=LIVES
        )

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(way=self.way(), **more)


class ByCode(ByLink):
    scope = SCOPE
    max_age = LIVES


def drawn(link: str) -> str:
    """The QR code as SVG, dark on white in every theme, with the quiet zone that the standard asks for."""
    import segno  # this page alone draws codes

    return segno.make(link, error="m", micro=False).svg_inline(scale=6, light="#fff", svgclass="code", lineclass=None)
