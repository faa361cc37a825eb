"""The roof before anything is entered: every page stands and says what to do first."""

from __future__ import annotations

import pytest
from django.test import Client

from tests import factories

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("type_is_cut")]


@pytest.mark.thorough(but=2)
@pytest.mark.slow
@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("/", "Six steps to your first price"),
        ("/books/", "Nothing was on the shelf, and nothing came in or was used."),
        ("/books/year/2025/", "No material was used in 2025."),
        ("/books/worth/", "The shelf was empty that day."),
        ("/books/check/", "The books are clean"),
        ("/setup/", "Change the workshop"),
    ],
)
def test_an_empty_workshop_has_every_page(path: str, words: str) -> None:
    browser = Client()
    browser.force_login(factories.owner())
    answer = browser.get(path)
    assert answer.status_code == 200
    assert words in answer.content.decode()
