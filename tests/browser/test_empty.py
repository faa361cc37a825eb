"""A workshop in which nothing is written yet: every room still leads somewhere, for thumb, glove, keyboard and reader."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.browser.conftest import opened
from tests.browser.walking import STILL, looked_at

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]

ROOMS = (
    "/",
    "/skins/",
    "/batches/",
    "/shelf/",
    "/articles/",
    "/books/",
    "/setup/",
    "/sittings/",
    "/plan/",
    "/recipes/",
)


def test_every_room_of_an_empty_workshop_serves_all(tmp_path: Path) -> None:
    with opened(tmp_path / "data", "--empty") as workshop:
        page = workshop.page(**STILL)
        wrong = {}
        for room in ROOMS:
            page.goto(room)
            wrong[room] = looked_at(page)
            assert page.locator("main .btn, main a").count() > 0, f"{room} leads nowhere"
        assert [f"{room} {fault}" for room, faults in wrong.items() for fault in faults] == []
        assert workshop.told == []
