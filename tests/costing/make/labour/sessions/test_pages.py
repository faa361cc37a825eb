"""Pages of sessions: tags to tap, one tap to stop, ten seconds to undo, and entries that waited for a signal."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from costing.make.cost.rates import services as rates
from costing.make.labour.sessions import selectors as read, services as sessions
from costing.make.readings import services as readings
from costing.models import LabourLine, WorkSession
from inventory.base.accounting import services as workshop
from inventory.models import Skin
from tests import factories
from tests.inventory.pages import queries, signed_in, text

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("midday")]
MINUTE = timedelta(minutes=1)
KEPT = {"x-kept": "1"}


@pytest.fixture(autouse=True)
def _skins() -> None:
    factories.skin("H01")
    factories.skin("H02")
    factories.skin("H03")
    factories.batch("B1", tags=["H01", "H02"])


def begin(client: Client, *tags: str, key: str = "s1", **more: Any) -> HttpResponse:
    form = {"skins": tags or ("H01",), "task": "soften", "request_key": key, **more}
    return client.post(reverse("session_start"), form)


def stop(client: Client, **more: Any) -> HttpResponse:
    return client.post(reverse("session_stop"), {"key": "s1", "request_key": "k", **more})


def ran(minutes: int) -> None:
    WorkSession.objects.update(started_at=timezone.now() - minutes * MINUTE)


def test_pages_open_for_the_owner(client: Client) -> None:
    begin(client)
    for address in (reverse("sessions"), reverse("session_stop") + "?key=s1", reverse("session_drop") + "?key=s1"):
        assert client.get(address).status_code == 200
    for name in ("session_stop", "session_drop"):
        assert client.get(reverse(name), {"key": "other"}).status_code == 404
        anew = client.get(reverse(name)).headers["Location"]
        assert anew == reverse("sessions"), "a refused page that is opened anew"
    assert client.get(reverse("session_undo", args=[1])).status_code == 405


def test_an_empty_workshop_says_what_to_do_first(client: Client) -> None:
    for tag in ("H01", "H02", "H03"):
        factories.work(tags=[tag])
        factories.finish(tag)
    page = text(client.get(reverse("sessions")))
    assert "No timer is running" in page
    assert "nothing to time" in page


def test_skins_are_offered_by_the_batch_they_are_in(client: Client) -> None:
    factories.work(tags=["H03"])
    factories.finish("H03")
    factories.skin("H04")
    page = text(client.get(reverse("sessions")))
    assert page.index("B1, R") < page.index('value="H01"') < page.index("In no batch") < page.index('value="H04"')
    assert 'value="H03"' not in page


@pytest.mark.thorough
def test_a_crowd_of_skins_is_folded_unless_one_of_it_is_tapped(client: Client) -> None:
    tags = [f"L{nth:02}" for nth in range(9)]
    for tag in tags:
        factories.skin(tag)
    factories.batch("B7", tags=tags)
    page = text(client.get(reverse("sessions")))
    assert "<details><summary>B7, 9 skins</summary>" in page
    page = text(client.get(reverse("sessions"), {"skin": "L03"}))
    assert "<details open><summary>B7, 9 skins</summary>" in page


def test_the_address_taps_skins_or_a_whole_batch_beforehand(client: Client) -> None:
    ticked = re.compile(r'value="(\w+)"[^>]*? checked')
    one = client.get(reverse("sessions"), {"skin": "H03", "task": "comb"})
    assert ticked.findall(one.content.decode())[:1] == ["H03"]
    assert 'value="comb"' in text(one)
    all_in = client.get(reverse("sessions"), {"batch": "B1"})
    assert ticked.findall(all_in.content.decode())[:2] == ["H01", "H02"]


def test_a_session_started_twice_by_one_key_runs_once_and_shows_on_the_page(client: Client) -> None:
    for _ in range(2):
        assert begin(client, "H01", "H02")["location"] == reverse("sessions")
    ran(65)
    page = text(client.get(reverse("sessions")))
    assert "1 timer running" in page
    assert "1 h 05 min" in page
    assert f'data-since="{timezone.localtime(WorkSession.objects.get().started_at).isoformat()}"' in page


@pytest.mark.thorough
def test_a_task_may_be_typed_instead_of_tapped(client: Client) -> None:
    begin(client, other="sand the flesh side")
    assert WorkSession.objects.get().task == "sand the flesh side"
    sessions.drop(key="s1")
    assert "Sand the flesh side" in text(client.get(reverse("sessions")))
    assert list(read.tasks())[:2] == ["sand the flesh side", "soften"]


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"skins": ()}, "skins", "No skin was chosen"),
        ({"skins": ("H99",)}, "skins", "No skin has the tag H99"),
        ({"task": ""}, "task", "required"),
        ({"other": "a\x07"}, "task", "control character"),
        ({"at": "yesterday"}, "at", "not a moment with its time zone"),
        ({"at": "2020-01-01T10:00:00+02:00"}, "at", "31 days ago"),
    ],
)
def test_a_wrong_start_is_refused_beside_its_field_and_keeps_what_was_tapped(
    client: Client, wrong: dict[str, Any], field: str, said: str
) -> None:
    answer = client.post(reverse("session_start"), {"skins": ("H01",), "task": "soften", "request_key": "s1", **wrong})
    assert said in answer.context["form"].errors[field][0]
    assert said in text(answer)
    assert not WorkSession.objects.exists()
    if "skins" not in wrong:
        assert re.search(r'value="H01"[^>]*? checked', answer.content.decode())


def test_a_second_timer_is_refused_in_words_on_the_page(client: Client) -> None:
    begin(client)
    answer = begin(client, "H02", key="s2")
    assert "Your timer on H01 (soften) runs since" in text(answer)
    assert "Stop or drop it first" in text(answer)


def test_a_skin_that_somebody_times_cannot_be_tapped_and_says_whose_it_is(client: Client) -> None:
    sessions.start(tags=["H01"], by=factories.owner("anna"), request_key="a")
    page = text(client.get(reverse("sessions")))
    assert "anna has a timer on it" in page
    assert re.search(r'value="H01"[^>]*? disabled', page)
    assert re.search(r"since \d\d:\d\d, anna", page)


@pytest.mark.thorough
def test_one_tap_stops_logs_the_minutes_and_offers_an_undo(client: Client) -> None:
    begin(client, "H01", "H02")
    ran(24)
    answer = stop(client, next="/skins/H01/")
    assert answer["location"] == "/skins/H01/"
    line = LabourLine.objects.get()
    assert (line.minutes, line.task, line.batch and line.batch.number) == (24, "soften", "B1")
    page = text(client.get(reverse("sessions")))
    assert "24 min soften on H01, H02 are logged." in page
    assert f'action="{reverse("session_undo", args=[WorkSession.objects.get().pk])}"' in page


def test_stopped_twice_by_one_key_logs_once(client: Client) -> None:
    begin(client)
    assert stop(client)["location"] == stop(client)["location"] == reverse("sessions")
    assert LabourLine.objects.count() == 1


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("there", ["https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)", ""])
def test_nobody_is_led_elsewhere_after_a_stop(client: Client, there: str) -> None:
    begin(client)
    assert stop(client, next=there)["location"] == reverse("sessions")


@pytest.mark.thorough
def test_undone_within_ten_seconds_the_timer_runs_on(client: Client) -> None:
    begin(client)
    ran(24)
    stop(client)
    answer = client.post(
        reverse("session_undo", args=[WorkSession.objects.get().pk]), {"next": "/", "request_key": "u"}, follow=True
    )
    assert "The timer runs on as before." in text(answer)
    assert WorkSession.objects.get().runs
    assert stop(client, request_key="k2").status_code == 302
    assert LabourLine.objects.filter(reverses=None, reversed_by=None).get().minutes == 24


def test_a_tap_sent_again_after_its_undo_does_not_stop_anew(client: Client) -> None:
    begin(client)
    stop(client)
    client.post(reverse("session_undo", args=[WorkSession.objects.get().pk]))
    assert stop(client).status_code == 302
    assert WorkSession.objects.get().runs


@pytest.mark.thorough
def test_a_forgotten_timer_asks_for_minutes_beside_their_box_and_takes_them(client: Client) -> None:
    begin(client)
    ran(30 * 60)
    page = text(client.get(reverse("sessions")))
    assert "too long for one session" in page
    assert "Enter the minutes" in page
    answer = stop(client)
    assert "This timer runs for 30 h 00 min" in answer.context["form"].errors["minutes"][0]
    assert "soften on h01, 30 h 00 min since" in text(answer).lower()
    assert WorkSession.objects.get().runs
    stop(client, minutes="40,5", request_key="k")
    assert LabourLine.objects.get().minutes == Decimal("40.5")


def test_a_stop_without_a_start_says_what_to_do(client: Client) -> None:
    answer = stop(client, key="nothing")
    assert answer.status_code == 200
    assert "No timer was started here" in text(answer)


@pytest.mark.thorough
def test_a_dropped_timer_counts_nothing(client: Client) -> None:
    begin(client)
    page = text(client.get(reverse("session_drop"), {"key": "s1"}))
    assert "none of these minutes are counted" in page
    client.post(reverse("session_drop"), {"key": "s1", "request_key": "d"})
    assert not LabourLine.objects.exists()
    assert not WorkSession.objects.get().runs


def test_a_start_and_a_stop_that_waited_keep_their_moments(client: Client) -> None:
    at = timezone.now() - 90 * MINUTE
    form = {"skins": ["H01"], "task": "soften", "request_key": "s1", "at": at.isoformat()}
    first = client.post(reverse("session_start"), form, headers=KEPT)
    assert first.json()["state"] == "written"
    ended = {"key": "s1", "request_key": "k", "at": (at + 25 * MINUTE).isoformat()}
    second = client.post(reverse("session_stop"), ended, headers=KEPT)
    assert second.json() == {
        "state": "written",
        "said": "25 min soften on H01 are logged.",
        "next": reverse("sessions"),
    }
    assert LabourLine.objects.get().minutes == 25


@pytest.mark.thorough
def test_a_waiting_entry_that_cannot_be_is_refused_in_words(client: Client) -> None:
    begin(client)
    stop(client)
    again = client.post(reverse("session_stop"), {"key": "s1", "request_key": "k2"}, headers=KEPT)
    assert again.status_code == 422
    assert again.json()["state"] == "refused"
    assert "already, 1 min are logged" in again.json()["errors"][0]
    orphan = client.post(reverse("session_stop"), {"key": "s9", "request_key": "k3"}, headers=KEPT)
    assert "No timer was started here" in orphan.json()["errors"][0]


def test_the_page_carries_the_stop_for_a_start_that_waits(client: Client) -> None:
    page = text(client.get(reverse("sessions")))
    assert 'data-then="session-stop"' in page
    template = page.partition('<template id="session-stop">')[2].partition("</template>")[0]
    assert '<input type="hidden" name="key" value="" data-from="key"' in template
    assert f'action="{reverse("session_stop")}"' in template
    assert "data-keep" in template


def test_who_does_not_work_in_the_shed_may_not_time(client: Client) -> None:
    begin(client)
    keeper = signed_in(factories.person("bookkeeper"))
    assert begin(keeper, "H02", key="s2").status_code == 403
    assert stop(keeper).status_code == 403
    assert keeper.post(reverse("session_drop"), {"key": "s1", "request_key": "d"}).status_code == 403
    assert WorkSession.objects.get().runs


@pytest.mark.thorough
def test_many_skins_and_timers_take_as_many_queries_as_few(client: Client) -> None:
    begin(client)
    few = queries(client, reverse("sessions"))
    for number in range(4, 12):
        factories.skin(f"H{number:02d}")
        factories.batch(f"B{number}", tags=[f"H{number:02d}"])
        sessions.start(tags=[f"H{number:02d}"], by=factories.owner(f"p{number}"), request_key=f"p{number}")
    assert queries(client, reverse("sessions")) == few


@pytest.mark.thorough
def test_the_skins_page_says_how_softening_stands(client: Client) -> None:
    factories.skin("H05")
    factories.work(minutes=205, tags=["H05"])
    factories.finish("H05", pieces=[factories.piece("A5", list_price=Decimal(185))])
    factories.work(minutes=30, tags=["H01"])
    page = text(client.get(reverse("skin", args=["H01"])))
    assert "Softened so far" in page
    assert "the one finished took 3.42 h" in page
    assert "middle list price of the one finished" in page
    assert "it takes three weighings" not in page  # it is raw: nobody weighs it on a frame yet
    assert reverse("sessions") + "?skin=H01" in page


@pytest.mark.thorough
def test_a_skin_in_work_that_was_never_weighed_says_so_with_the_way_to_weigh_it(client: Client) -> None:
    Skin.objects.filter(tag="H01").update(stage=Skin.Stage.IN_WORK)
    page = text(client.get(reverse("skin", args=["H01"])))
    assert "it was not weighed yet, and it takes two weighings for a first estimate" in page
    assert f'<a href="{reverse("reading_new_skin", args=["H01"])}">Weigh it</a>' in page


@pytest.mark.thorough
def test_at_a_price_that_is_asked_the_page_says_when_softening_no_longer_pays(client: Client) -> None:
    rates.set_rates(wage_per_hour=Decimal(16))
    factories.work(minutes=600, tags=["H01"])
    dear = text(client.get(reverse("skin", args=["H01"]), {"price": "185"}))
    cheap = text(client.get(reverse("skin", args=["H01"]), {"price": "150"}))
    assert "It still pays." in dear
    assert "Further softening no longer pays." in cheap
    assert "is not a figure" in text(client.get(reverse("skin", args=["H01"]), {"price": "much"}))


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("today", "said"),
    [
        ("2025-03-12", "Ready to soften"),
        ("2025-03-13", "Soften now"),
        ("2025-03-15", "Soften now"),
        ("2025-03-16", "Dry by now"),
    ],
)
def test_the_skins_page_says_when_it_is_ready(client: Client, today: str, said: str) -> None:
    workshop.pin_today(on=date.fromisoformat(today))
    factories.work(minutes=30, tags=["H01"])
    for day, grams in [(10, 3000), (12, 2000), (14, 1500)]:
        readings.note(tags=["H01"], weight=Decimal(grams), at=datetime(2025, 3, day, 12, tzinfo=UTC))
    assert said in text(client.get(reverse("skin", args=["H01"])))


@pytest.mark.thorough
def test_what_an_hour_earns_is_told_once_a_session_is_worked(client: Client) -> None:
    factories.work(minutes=19, tags=["H01"])
    address = reverse("skin", args=["H01"])
    assert "Sold today, an hour earns" not in text(client.get(address, {"price": "185"}))
    factories.work(minutes=1, tags=["H01"])
    assert "Sold today, an hour earns" in text(client.get(address, {"price": "185"}))


@pytest.mark.thorough
def test_a_raw_hide_and_a_finished_skin_have_nothing_to_say_of_softening(client: Client) -> None:
    assert "Softened so far" not in text(client.get(reverse("skin", args=["H03"])))
    factories.work(tags=["H03"])
    factories.finish("H03")
    assert "Softened so far" not in text(client.get(reverse("skin", args=["H03"])))


@pytest.mark.thorough
def test_a_timer_that_ran_eleven_hours_is_asked_about_and_runs_on(client: Client) -> None:
    begin(client)
    ran(662)
    page = text(stop(client))
    assert "The timer ran 662 min (11 h 02 min) on end; more than 6 h at one thing is rare." in page
    assert WorkSession.objects.get().runs
    assert 'name="key" value="s1"' in page
    assert stop(client, minutes="40").status_code == 302
    assert LabourLine.objects.get().minutes == 40


def test_a_stop_that_waited_is_written_and_marked(client: Client) -> None:
    begin(client)
    ran(662)
    answer = client.post(reverse("session_stop"), {"key": "s1", "request_key": "k"}, HTTP_X_KEPT="waited")
    assert answer.json()["state"] == "written"
    assert LabourLine.objects.get().minutes == 662
    assert "It waited, so it is kept as you entered it: The timer ran 662 min" in text(client.get(reverse("sessions")))
