"""Long pages of one client, and large pages of all, leave hands free for the next who knocks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from threading import Event, Thread

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import RequestFactory
from pytest_django import Settings

from workshop import turns
from workshop.reports import views as reports
from workshop.setup import views as setup


class Busy:
    """A program whose pages take until they are let go."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, rf: RequestFactory) -> None:
        self.go, self.threads, self.rf = Event(), [], rf
        self.turns = turns.Turns(self._answer)
        self.clock = 0.0
        monkeypatch.setattr(turns.time, "monotonic", lambda: self.clock)

    def _answer(self, request: HttpRequest) -> HttpResponse:
        turned_away = self.turns.process_view(request, request.view, (), {})
        if turned_away is None and request.long:
            request.begun.set()
            self.go.wait(10)
        return turned_away or HttpResponse("the page")

    def ask(self, view: Callable[..., object] = setup.setup, *, client: str = "192.0.2.1", long: bool = False) -> int:
        request = self.rf.get("/", REMOTE_ADDR=client)
        request.view, request.long, request.begun = view, long, Event()
        if not long:
            return self.turns(request).status_code
        thread = Thread(target=self.turns, args=[request])
        thread.start()
        self.threads.append(thread)
        assert request.begun.wait(10)
        return 0

    def end(self) -> None:
        self.go.set()
        for thread in self.threads:
            thread.join()


@pytest.fixture
def busy(monkeypatch: pytest.MonkeyPatch, rf: RequestFactory) -> Iterator[Busy]:
    made = Busy(monkeypatch, rf)
    yield made
    made.end()


def test_four_long_pages_of_one_client_are_enough(busy: Busy) -> None:
    for _ in range(turns.OF_ONE):
        busy.ask(long=True)
    assert busy.ask() == 200, "quick ones are not counted, however many come at once"
    busy.clock += 2
    assert busy.ask() == 503
    assert busy.ask(client="192.0.2.2") == 200
    busy.end()
    assert busy.ask() == 200


def test_the_fourth_large_page_asks_again_by_itself(busy: Busy) -> None:
    for number in range(turns.LARGE):
        busy.ask(reports.worth, client=f"192.0.2.{number}", long=True)
    assert busy.ask(reports.check) == 503
    assert busy.ask() == 200
    busy.end()
    assert [busy.ask(reports.check) for _ in range(turns.LARGE + 1)] == [200] * (turns.LARGE + 1)


def test_who_is_turned_away_learns_why_and_when(rf: RequestFactory) -> None:
    answer = turns.later(rf.get("/books/"), turns.MANY)
    assert (answer["Refresh"], answer["Retry-After"]) == ("5", "5")
    assert "other large pages are being worked out" in answer.content.decode()
    kept = turns.later(rf.post("/", headers={"x-kept": "1"}), turns.WAITING)
    assert b'"state": "waiting"' in kept.content
    assert "Refresh" not in kept


def test_behind_a_proxy_that_nobody_named_all_are_one_address_and_nobody_is_counted(
    busy: Busy, settings: Settings
) -> None:
    settings.SECURE_SSL_REDIRECT = True
    for _ in range(turns.OF_ONE):
        busy.ask(client="127.0.0.1", long=True)
    busy.clock += 2
    assert busy.ask(client="127.0.0.1") == 200
