"""The maker's own words: kept once, given back when emptied, changed by the owner alone; and the tick of a translation."""

from __future__ import annotations

from importlib import import_module

import pytest
from django.apps import apps

from inventory.base import languages
from inventory.base.wording import selectors as read, services as wording
from inventory.errors import NotAllowed, Refused
from inventory.models import CheckedLanguage, Phrase
from tests.factories import owner, person
from workshop.documents.words import rules

pytestmark = pytest.mark.django_db


def test_a_phrase_is_said_once_and_given_back() -> None:
    wording.write(language="fi", key="kit.page", text="s. {number}", by=owner())
    wording.write(language="fi", key="kit.page", text="sivu {number}")
    (row,) = Phrase.objects.all()
    assert (row.language, row.key, row.text, row.written_by) == ("fi", "kit.page", "sivu {number}", None)
    assert read.counted() == {"fi": 1}
    assert wording.write(language="fi", key="kit.page", text=" ") is None
    assert read.phrases("fi", "en") == {"fi": {}, "en": {}}


def test_a_tick_keeps_who_and_when_and_is_taken_off() -> None:
    first = wording.tick(language="fi", by=owner())
    assert (first.who, wording.tick(language="fi").at) == ("owner", first.at)
    assert list(read.checked()) == ["fi"]
    wording.untick(language="fi", by=owner())
    wording.untick(language="fi", by=owner())
    assert read.checked() == {}


def test_english_is_never_ticked() -> None:
    with pytest.raises(Refused, match="English came whole"):
        wording.tick(language="en")
    assert not CheckedLanguage.objects.exists()


@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_only_the_owner_changes_words(role: str) -> None:
    hand = person(role)
    for call in (
        lambda: wording.write(language="fi", key="kit.page", text="x", by=hand),
        lambda: wording.tick(language="fi", by=hand),
        lambda: wording.untick(language="fi", by=hand),
    ):
        with pytest.raises(NotAllowed):
            call()
    assert not Phrase.objects.exists()
    assert not CheckedLanguage.objects.exists()


def test_each_language_has_its_names() -> None:
    assert list(languages.NAMES) == list(languages.LANGUAGES)
    with pytest.raises(Refused, match="choose one of en, fi"):
        languages.known("x" * 300)


def test_what_was_said_of_a_phrase_that_went_is_said_of_the_one_that_stays() -> None:
    moved = import_module("inventory.migrations.0030_phrases_moved")
    for language, key, text in (
        ("fi", "invoice.how.cash", "käteinen"),
        ("sv", "invoice.how.cash", "kontant"),
        ("sv", "paid_by.cash", "kontanter"),
        ("sv", "kit.page", "sida {number}"),
    ):
        Phrase.objects.create(language=language, key=key, text=text)
    moved.move(apps, None)
    assert read.phrases("fi", "sv") == {
        "fi": {"paid_by.cash": "käteinen"},
        "sv": {"paid_by.cash": "kontanter", "kit.page": "sida {number}"},
    }
    assert moved.MOVED == rules.MOVED
