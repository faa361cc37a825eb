"""Help says the words of the trade with their meanings, and turns the key of the search off and on."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from workshop.help import views as help_pages

pytestmark = pytest.mark.usefixtures("demo")


def test_help_explains_words_that_are_not_plain(client: Client) -> None:
    page = client.get(reverse("help")).content.decode()
    assert "Landed cost, carriage" in page
    assert "Price with freight and duty shared over the lines" in page
    assert "Next page" not in [word for word, _ in help_pages.words()]


def test_the_key_of_the_search_is_turned_off_and_on_for_this_device(client: Client) -> None:
    assert 'data-slash="off"' not in client.get("/").content.decode()
    client.post(reverse("light"), {"slash": "off", "next": "/"})
    assert 'data-slash="off"' in client.get("/").content.decode()
    assert "Turn the key on" in client.get(reverse("help")).content.decode()
    client.post(reverse("light"), {"slash": "on", "next": "/"})
    assert 'data-slash="off"' not in client.get("/").content.decode()
