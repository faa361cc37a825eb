"""The fuzz finds defects of the kinds that pages once had, each at the first sweep of its address."""

from __future__ import annotations

import pytest
from django.db import DatabaseError
from django.test import Client
from pytest_django import Settings

from tests.workshop.fuzz import planted
from tests.workshop.fuzz.test_fuzz import browser, shown, sweep

__all__ = ["browser"]
pytestmark = [pytest.mark.usefixtures("demo", "unguarded"), pytest.mark.slow]


@pytest.fixture
def unguarded(settings: Settings) -> None:
    """The guard before all pages would refuse what the planted ones cannot bear."""
    settings.ROOT_URLCONF = planted.__name__
    settings.MIDDLEWARE = [each for each in settings.MIDDLEWARE if each != "workshop.sent.Readable"]
    shown.cache_clear()


@pytest.mark.parametrize(
    ("path", "fault"),
    [
        ("/planted/search/", DatabaseError),
        ("/planted/note/", ValueError),
        ("/planted/turned/", (ValueError, OverflowError)),
    ],
)
def test_the_sweep_finds_the_defect(path: str, fault: type[Exception], browser: Client) -> None:
    with pytest.raises(fault):
        sweep(browser, path)


def test_a_sound_page_stands(browser: Client) -> None:
    sweep(browser, "/planted/sound/")
