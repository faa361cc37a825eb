"""Entries of a page that keeps them without a signal: the answers in few words, the moment of the tap, the undo in the message."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.contrib.messages import get_messages
from django.http import HttpResponse
from django.test import Client
from django.urls import include, path, reverse

from inventory.base import checks
from inventory.errors import Refused
from inventory.models import Place
from inventory.places.views import PlaceNew
from inventory.web.forms import EntryForm, MomentField
from inventory.web.views import EntryView
from tests.inventory.pages import signed_in, text

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.inventory.web.test_offline")]
KEPT = {"HTTP_X_KEPT": "1"}
TUB = {"name": "Tub 1", "kind": "tub", "request_key": "k"}


class TapForm(EntryForm):
    at = MomentField(required=False)


class Keeper(PlaceNew):
    """A page whose entry may wait for a signal and be undone by a tap."""

    keeps = True

    def waiting_words(self) -> str:
        return 'A tub "by the door"'

    def undo_url(self) -> str:
        return f"/undo/{self.made.pk}/"


class Tap(EntryView):
    form_class = TapForm
    title = "A tap"
    cancel_name = "today"

    def enter(self, form: Any) -> object:
        return checks.moment(form.cleaned_data["at"])


class Turned(EntryView):
    """Refuses before any form is read."""

    form_class = TapForm

    def dispatch(self, *args: Any, **options: Any) -> Any:
        raise Refused("Nothing lies in that tub. Choose another.")


urlpatterns = [
    path("keep/", Keeper.as_view()),
    path("tap/", Tap.as_view()),
    path("turned/", Turned.as_view()),
    path("", include("workshop.urls")),
]


def told(answer: HttpResponse) -> list[Any]:
    return list(get_messages(answer.wsgi_request))


def test_an_entry_written_is_answered_in_few_words_and_told_on_the_next_page(client: Client) -> None:
    answer = client.post("/keep/", TUB, **KEPT)
    assert answer.status_code == 200
    assert answer.json() == {"state": "written", "said": "Tub 1 can be chosen now.", "next": reverse("places")}
    assert text(client.get(reverse("places"))).count("Tub 1 can be chosen now.") == 1
    assert "can be chosen now" not in text(client.get(reverse("places")))


def test_an_entry_sent_again_is_written_once_and_answered_alike(client: Client) -> None:
    first, second = (client.post("/keep/", TUB, **KEPT) for _ in range(2))
    assert first.json() == second.json()
    assert Place.objects.count() == 1


def test_what_a_form_refuses_is_said_with_the_label_of_its_field(client: Client) -> None:
    answer = client.post("/keep/", {**TUB, "name": "", "kind": "bucket"}, **KEPT)
    assert answer.status_code == 422
    assert answer.json() == {
        "state": "refused",
        "errors": [
            "Name: This field is required.",
            "Kind: Select a valid choice. bucket is not one of the available choices.",
        ],
    }
    assert Place.objects.count() == 0


def test_what_a_service_refuses_is_said_and_not_told_again_later(client: Client) -> None:
    client.post("/keep/", TUB, **KEPT)
    client.get("/")
    answer = client.post("/keep/", {**TUB, "request_key": "other"}, **KEPT)
    assert answer.status_code == 422
    assert answer.json()["errors"] == [
        "Name: The place Tub 1 is used already. Choose another, or open the one that is there."
    ]
    assert told(answer) == []


def test_a_fault_of_a_hidden_field_is_said_without_a_label(client: Client) -> None:
    answer = client.post("/tap/", {"request_key": "k", "at": "this morning"}, **KEPT)
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error.startswith("“this morning” is not a moment with its time zone")


def test_a_refusal_that_no_form_caught_is_answered_in_few_words_too(client: Client) -> None:
    answer = client.post("/turned/", {}, **KEPT)
    assert answer.status_code == 422
    assert answer.json() == {"state": "refused", "errors": ["Nothing lies in that tub. Choose another."]}


def test_a_role_too_small_is_refused_with_403() -> None:
    answer = signed_in(User.objects.create_user("guest")).post("/keep/", TUB, **KEPT)
    assert answer.status_code == 403
    assert answer.json()["state"] == "refused"
    assert answer.json()["errors"][0].startswith("Your role may not record goods in and counts.")
    assert Place.objects.count() == 0


def test_who_is_signed_out_is_told_so_and_the_entry_is_not_written() -> None:
    answer = Client().post("/keep/", TUB, **KEPT)
    assert answer.status_code == 401
    assert answer.json() == {"state": "signed_out"}
    assert Place.objects.count() == 0


@pytest.mark.parametrize("header", [{}, {"HTTP_X_KEPT": "0"}])
def test_without_the_header_pages_answer_as_ever(client: Client, header: dict[str, str]) -> None:
    assert client.post("/keep/", {**TUB, "name": ""}, **header).headers["Content-Type"].startswith("text/html")
    assert client.post("/keep/", TUB, **header)["Location"] == reverse("places")
    assert Client().post("/keep/", TUB, **header).status_code == 302


def test_the_form_of_a_page_that_keeps_says_so_and_names_its_entry_and_the_page_of_the_books(client: Client) -> None:
    page = text(client.get("/keep/"))
    assert f'data-keep data-words="A tub &quot;by the door&quot;" data-page="{reverse("places")}"' in page
    assert "data-keep" not in text(client.get(reverse("place_new")))


def test_the_message_after_carries_the_address_of_the_undo(client: Client) -> None:
    shown = client.post("/keep/", TUB, follow=True)
    place = Place.objects.get()
    assert [message.extra_tags for message in shown.context["messages"]] == [f"undo:/undo/{place.pk}/"]
    assert f'method="post" action="/undo/{place.pk}/"' in text(shown)
    assert f'name="next" value="{reverse("places")}"' in text(shown)


def test_a_message_without_an_undo_has_no_button(client: Client) -> None:
    shown = client.post(reverse("place_new"), TUB, follow=True)
    assert [message.extra_tags for message in shown.context["messages"]] == [""]
    assert "Undo" not in text(shown)


@pytest.mark.parametrize(
    ("written", "moment"),
    [
        ("", None),
        ("2025-01-25T08:30:00+02:00", "2025-01-25T08:30:00+02:00"),
        ("2025-01-25T06:30:00.250Z", "2025-01-25T06:30:00.250000+00:00"),
    ],
)
def test_a_moment_is_read_with_its_zone(written: str, moment: str | None) -> None:
    form = TapForm({"request_key": "k", "at": written})
    assert form.is_valid()
    assert form.cleaned_data["at"] == (datetime.fromisoformat(moment) if moment else None)


@pytest.mark.parametrize("written", ["2025-01-25T08:30:00", "2025-01-25", "half past eight", "2025-13-40T25:00Z"])
def test_a_moment_without_a_zone_or_sense_is_refused(written: str) -> None:
    assert "not a moment with its time zone" in str(TapForm({"request_key": "k", "at": written}).errors["at"])


def test_a_moment_that_has_not_come_is_refused_in_words(client: Client) -> None:
    late = (datetime.now().astimezone() + timedelta(hours=3)).isoformat()
    answer = client.post("/tap/", {"request_key": "k", "at": late}, **KEPT)
    assert answer.status_code == 422
    assert "has not come yet" in answer.json()["errors"][0]
