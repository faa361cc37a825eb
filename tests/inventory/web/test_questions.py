"""The question before a clearly odd figure is kept: asked once, answered by the same form, never at the cost of an entry."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import datetime
from typing import Any

import pytest
from django import forms
from django.contrib.messages import get_messages
from django.http import HttpResponse
from django.test import Client
from django.urls import include, path

from inventory.models import Supplier
from inventory.suppliers.services import named_supplier
from inventory.web.forms import EntryForm, FigureField, MomentField
from inventory.web.questions import Odd
from inventory.web.views import EntryView
from tests.inventory.pages import text

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.inventory.web.test_questions")]
taken: list[datetime | None] = []


class OneForm(EntryForm):
    name = forms.CharField(label="Name")
    skins = FigureField(label="Skins")
    at = MomentField(required=False)


class One(EntryView):
    """More than ten skins are odd."""

    form_class = OneForm
    title = "A supplier"
    cancel_page = "suppliers"
    success_message = "It is kept."
    keeps = True
    buttons = ("how",)

    def odd(self, form: Any) -> Iterable[Odd]:
        skins = form.cleaned_data["skins"]
        yield form["name"], None
        yield form["skins"], f"{skins} skins are entered; ten is usual." if skins > 10 else None

    def enter(self, form: Any) -> object:
        taken.append(form.cleaned_data["at"])
        return named_supplier(form.cleaned_data["name"], by=self.request.user)


urlpatterns = [path("one/", One.as_view()), path("", include("workshop.urls"))]
SAID = "38 skins are entered; ten is usual."
ODD = {"name": "Utu", "skins": "38", "request_key": "k"}


def sure(answer: HttpResponse) -> str:
    found = re.search(r'name="sure" value="(\w+)"', text(answer))
    assert found
    return found[1]


def kept() -> int:
    return Supplier.objects.count()


def told(answer: HttpResponse) -> list[tuple[str, str]]:
    return [(message.level_tag, str(message)) for message in get_messages(answer.wsgi_request)]


def test_an_ordinary_figure_is_kept_without_a_question(client: Client) -> None:
    assert client.post("/one/", ODD | {"skins": "10"}).status_code == 302
    assert kept() == 1


def test_an_odd_figure_is_asked_about_before_anything_is_written(client: Client) -> None:
    answer = client.post("/one/", ODD)
    page = text(answer)
    assert (answer.status_code, kept()) == (200, 0)
    assert page.count(SAID) == 1
    assert re.search(r'<button class="btn quiet" type="submit" name="sure" value="\w+">Keep it</button>', page)
    assert '<a class="btn quiet" href="#id_skins">Change it</a>' in page
    assert 'value="38"' in page
    assert 'name="request_key" value="k"' in page


def test_the_answer_keeps_what_was_asked_and_twice_keeps_it_once(client: Client) -> None:
    answer = sure(client.post("/one/", ODD))
    for _ in range(2):
        assert client.post("/one/", ODD | {"sure": answer}).status_code == 302
    assert kept() == 1


def test_the_answer_keeps_no_other_figure(client: Client) -> None:
    answer = sure(client.post("/one/", ODD))
    other = client.post("/one/", ODD | {"skins": "380", "sure": answer})
    assert "380 skins are entered" in text(other)
    assert kept() == 0
    assert client.post("/one/", ODD | {"skins": "8", "sure": answer}).status_code == 302


def test_saved_again_without_an_answer_it_is_asked_again(client: Client) -> None:
    for _ in range(2):
        assert SAID in text(client.post("/one/", ODD))
    assert kept() == 0


def test_the_enter_key_answers_nothing(client: Client) -> None:
    """A browser presses the first button that sends the form."""
    page = text(client.post("/one/", ODD))
    first = re.search(r"<button[^>]*>", page[page.index('<form class="form"') :])
    assert first
    assert first[0] == '<button type="submit" hidden>'


def test_what_is_wrong_is_refused_and_not_asked_about(client: Client) -> None:
    page = text(client.post("/one/", ODD | {"name": ""}))
    assert "Please correct this" in page
    assert "Is this right?" not in page


def test_the_pages_own_button_comes_again_with_the_answer(client: Client) -> None:
    assert '<input type="hidden" name="how" value="card">' in text(client.post("/one/", ODD | {"how": "card"}))


def test_the_moment_stays_that_of_the_first_tap(client: Client) -> None:
    taken.clear()
    page = text(client.post("/one/", ODD | {"at": "2025-01-25T08:30:00+02:00"}))
    assert "data-moment" not in page
    assert 'value="2025-01-25T08:30:00+02:00"' in page
    at = re.search(r'name="at" value="([^"]+)"', text(client.post("/one/", ODD)))
    assert at
    assert datetime.fromisoformat(at[1]).tzinfo is not None


def test_a_page_that_keeps_its_entry_is_told_and_comes_for_the_question(client: Client) -> None:
    answer = client.post("/one/", ODD, HTTP_X_KEPT="1")
    assert (answer.status_code, answer.json()) == (422, {"state": "refused", "errors": [SAID]})
    assert kept() == 0


def test_an_entry_that_waited_is_kept_and_marked(client: Client) -> None:
    for _ in range(2):
        answer = client.post("/one/", ODD, HTTP_X_KEPT="waited")
        assert answer.json()["state"] == "written"
    assert kept() == 1
    page = text(client.get("/suppliers/"))
    assert f"<b>Look out.</b> It waited, so it is kept as you entered it: {SAID}" in page


def test_an_answer_that_waited_is_not_marked(client: Client) -> None:
    answer = sure(client.post("/one/", ODD))
    waited = client.post("/one/", ODD | {"sure": answer}, HTTP_X_KEPT="waited")
    assert [level for level, _ in told(waited)] == ["success"]
