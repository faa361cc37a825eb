"""Sessions: a timer on skins, started, stopped, dropped, undone; and that no refusal costs a minute."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from costing.make.batches import services as batches_services
from costing.make.batches.stays import services as batches
from costing.make.cost import selectors as costs
from costing.make.labour.sessions import services as sessions
from costing.make.losses import services as losses
from costing.models import Batch, LabourLine, SessionSkin, WorkSession
from costing.report.audit import selectors as audit
from inventory.base import services as undo
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, NotAllowed, Refused
from inventory.models import Skin
from tests import factories
from tests.at_once import together
from tests.factories import DAY

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("midday")]
D = Decimal
MINUTE = timedelta(minutes=1)


@pytest.fixture(autouse=True)
def _skins() -> None:
    factories.skin("H01")
    factories.skin("H02")


def now() -> datetime:
    return timezone.now()


def start(*tags: str, key: str = "s1", ago: timedelta = timedelta(), **more: Any) -> WorkSession:
    return sessions.start(tags=tags or ["H01"], at=now() - ago, request_key=key, **more)


def minutes_of(tag: str) -> Any:
    skin = Skin.objects.get(tag=tag)
    return costs.skin_shares([skin])[tag].own_minutes


def test_a_session_is_started_on_the_server_and_stopped_into_one_line_of_work() -> None:
    begun = start(ago=24 * MINUTE)
    assert (begun.runs, begun.task, begun.labour) == (True, "soften", None)
    done = sessions.stop(key="s1")
    line = LabourLine.objects.get()
    assert (done.labour, done.runs) == (line, False)
    assert (line.task, line.minutes, line.on, line.who) == ("soften", 24, timezone.localdate(), "")
    assert [skin.tag for skin in line.skins.all()] == ["H01"]
    assert not SessionSkin.objects.filter(running=True).exists()
    assert audit.findings() == []


@pytest.mark.parametrize(
    ("ran", "logged"),
    [
        (timedelta(), 1),
        (timedelta(seconds=29), 1),
        (timedelta(seconds=89), 1),
        (timedelta(seconds=90), 2),
        (timedelta(minutes=20, seconds=29.999), 20),
        (timedelta(minutes=20, seconds=30), 21),
        (timedelta(hours=12), 720),
    ],
)
def test_minutes_are_whole_half_up_and_at_least_one(ran: timedelta, logged: int) -> None:
    stop = now()
    sessions.start(tags=["H01"], at=stop - ran, request_key="s1")
    assert sessions.stop(key="s1", at=stop).labour.minutes == logged  # type: ignore[union-attr]


def test_several_skins_share_a_session_by_head() -> None:
    start("H01", "H02", ago=25 * MINUTE)
    sessions.stop(key="s1")
    assert minutes_of("H01") == minutes_of("H02") == D("12.5")


def test_the_batch_is_the_one_that_all_the_skins_are_in() -> None:
    bath = factories.batch("B1", tags=["H01", "H02"])
    assert start("H01", "H02").batch == bath
    sessions.stop(key="s1")
    assert LabourLine.objects.get().batch == bath
    assert Batch.objects.get().state == "in_work"


def test_skins_of_two_batches_or_of_none_are_timed_without_a_batch() -> None:
    factories.batch("B1", tags=["H01"])
    assert start("H01", "H02").batch is None
    sessions.stop(key="s1")
    assert LabourLine.objects.get().batch is None


def test_a_skin_that_joins_a_planned_batch_only_later_is_not_timed_in_it() -> None:
    factories.batch("B1", start=timezone.localdate() + timedelta(days=5), tags=["H01"])
    assert start().batch is None
    sessions.stop(key="s1")
    assert Batch.objects.get().state == "planned"


def test_a_batch_given_must_hold_the_skins() -> None:
    bath = factories.batch("B1", tags=["H02"])
    with pytest.raises(Refused, match="H01 is not in B1") as refusal:
        start("H01", batch=bath)
    assert refusal.value.field == "skins"
    assert not WorkSession.objects.exists()


def test_a_session_over_midnight_is_work_of_the_day_it_began() -> None:
    yesterday = timezone.localdate() - timedelta(days=1)
    late = datetime.combine(yesterday, datetime.min.time(), tzinfo=timezone.get_current_timezone()).replace(
        hour=23, minute=50
    )
    sessions.start(tags=["H01"], at=late, request_key="s1")
    done = sessions.stop(key="s1", at=min(late + 30 * MINUTE, now()))
    assert done.labour is not None
    assert done.labour.on == yesterday


def test_in_a_demonstration_the_work_is_of_its_pinned_day() -> None:
    workshop.pin_today(on=date(2025, 12, 31))
    start(ago=5 * MINUTE)
    assert sessions.stop(key="s1").labour.on == date(2025, 12, 31)  # type: ignore[union-attr]


def test_the_same_key_starts_once_and_stops_once() -> None:
    assert start() == start()
    first = sessions.stop(key="s1", request_key="stop")
    assert sessions.stop(key="s1", request_key="stop") == first
    assert start() == first
    assert (WorkSession.objects.count(), LabourLine.objects.count()) == (1, 1)


def test_a_second_stop_with_another_key_is_told_what_was_logged() -> None:
    start(ago=20 * MINUTE)
    sessions.stop(key="s1", request_key="phone")
    with pytest.raises(Refused, match=r"stopped at \d\d:\d\d already, 20 min are logged"):
        sessions.stop(key="s1", request_key="tablet")
    assert LabourLine.objects.count() == 1


def test_a_stop_without_a_start_says_what_to_do() -> None:
    with pytest.raises(Refused, match=r"No timer was started here.*log the minutes by hand"):
        sessions.stop(key="nothing")


@pytest.mark.parametrize(
    ("given", "said", "field"),
    [
        ({"tags": []}, "No skin was chosen", "skins"),
        ({"tags": ["H99"]}, "No skin has the tag H99", "skins"),
        ({"kind": "tan"}, "not a known kind of work", "kind"),
        ({"task": "a\x07"}, "control character", "task"),
        ({"task": "x" * 81}, "longer than 80", "task"),
        ({"at": datetime(2999, 1, 1, tzinfo=UTC)}, "has not come yet", "at"),
        ({"at": datetime(2020, 1, 1, tzinfo=UTC)}, "31 days ago", "at"),
        ({"request_key": ""}, "key is missing", None),
        ({"request_key": "k" * 65}, "longer than 64", None),
    ],
)
def test_a_start_that_cannot_be_is_refused_and_nothing_is_written(given: dict[str, Any], said: str, field: str) -> None:
    with pytest.raises(Refused, match=said) as refusal:
        sessions.start(**{"tags": ["H01"], "request_key": "s1", **given})
    assert refusal.value.field == field
    assert not WorkSession.objects.exists()


def test_a_skin_named_twice_is_timed_once() -> None:
    start("H01", "H01")
    assert SessionSkin.objects.count() == 1


def test_a_finished_lost_or_absent_skin_is_not_timed() -> None:
    factories.work(tags=["H01"])
    factories.finish("H01")
    losses.lose(skin=Skin.objects.get(tag="H02"), on=DAY, reason="slipped")
    factories.skin("H03", date_in=timezone.localdate() + timedelta(days=3))
    for tag, said in [("H01", "is finished"), ("H02", "is lost"), ("H03", "came in on")]:
        with pytest.raises(Refused, match=f"{tag} {said}"):
            start(tag)


def test_nothing_is_started_on_a_day_to_which_the_books_are_closed() -> None:
    workshop.close_books(to=timezone.localdate())
    with pytest.raises(ClosedPeriod):
        start()
    assert not WorkSession.objects.exists()


def test_two_timers_on_one_skin_are_refused_naming_who_and_since_when() -> None:
    anna, ben = factories.owner("anna"), factories.owner("ben")
    begun = start("H01", "H02", by=anna, task="comb")
    with pytest.raises(Refused) as refusal:
        start("H02", by=ben, key="s2")
    assert "anna has a timer on H02 (comb) since" in str(refusal.value)
    assert sessions.clock(begun.started_at) in str(refusal.value)
    assert refusal.value.field == "skins"


def test_a_second_timer_of_one_person_is_refused_naming_the_first_and_the_way_out() -> None:
    anna = factories.owner("anna")
    start("H01", by=anna)
    with pytest.raises(Refused, match=r"Your timer on H01 \(soften\) runs since .*Stop or drop it first"):
        start("H02", by=anna, key="s2")
    with pytest.raises(Refused, match="Your timer on H01"):
        start("H01", by=anna, key="s3")
    assert WorkSession.objects.count() == 1


def test_the_command_line_has_one_timer_like_everybody() -> None:
    start("H01")
    with pytest.raises(Refused, match="Your timer on H01"):
        start("H02", key="s2")


def test_after_a_stop_or_a_drop_the_next_may_start() -> None:
    start("H01")
    sessions.stop(key="s1")
    start("H01", key="s2")
    sessions.drop(key="s2")
    assert start("H01", key="s3").runs


@pytest.mark.parametrize("ran", [timedelta(hours=12, seconds=1), timedelta(hours=30)])
def test_a_forgotten_timer_asks_for_the_minutes_and_goes_on(ran: timedelta) -> None:
    start(ago=ran)
    with pytest.raises(Refused, match="Enter what you really worked") as refusal:
        sessions.stop(key="s1")
    assert refusal.value.field == "minutes"
    assert WorkSession.objects.get().runs
    sessions.stop(key="s1", minutes=D(40))
    assert LabourLine.objects.get().minutes == 40


@pytest.mark.thorough
def test_a_session_of_thirty_hours_says_how_long_it_ran() -> None:
    start(ago=timedelta(hours=30, minutes=5))
    with pytest.raises(Refused, match="runs for 30 h 05 min"):
        sessions.stop(key="s1")


@pytest.mark.parametrize(
    ("minutes", "said"), [("1800", "more than a day"), ("0", "more than nothing"), ("-5", "more than")]
)
def test_minutes_by_hand_that_cannot_be_leave_the_timer_running(minutes: str, said: str) -> None:
    start(ago=timedelta(hours=30))
    with pytest.raises(Refused, match=said) as refusal:
        sessions.stop(key="s1", minutes=D(minutes))
    assert refusal.value.field == "minutes"
    assert WorkSession.objects.get().runs
    assert not LabourLine.objects.exists()


def test_a_stop_before_its_start_is_refused_but_clocks_may_differ_a_little() -> None:
    start()
    with pytest.raises(Refused, match="lies before its start") as refusal:
        sessions.stop(key="s1", at=now() - 30 * MINUTE)
    assert refusal.value.field == "minutes"
    done = sessions.stop(key="s1", at=now() - 3 * MINUTE)
    assert done.labour is not None
    assert (done.labour.minutes, done.stopped_at) == (1, done.started_at)


def test_a_dropped_timer_counts_nothing_and_is_dropped_once() -> None:
    start(ago=20 * MINUTE)
    first = sessions.drop(key="s1").dropped_at
    assert sessions.drop(key="s1").dropped_at == first
    assert not LabourLine.objects.exists()
    with pytest.raises(Refused, match="was dropped"):
        sessions.stop(key="s1")


def test_a_stopped_timer_is_not_dropped() -> None:
    start()
    sessions.stop(key="s1")
    with pytest.raises(Refused, match="Reverse its line instead"):
        sessions.drop(key="s1")
    assert LabourLine.objects.get().reverses is None


def test_an_undone_stop_reverses_the_line_and_the_timer_runs_on_as_if_never_stopped() -> None:
    begun = start("H01", "H02", ago=20 * MINUTE)
    done = sessions.stop(key="s1", request_key="a")
    again = sessions.undo_stop(session=done)
    assert (again.runs, again.started_at) == (True, begun.started_at)
    assert SessionSkin.objects.filter(running=True).count() == 2
    assert minutes_of("H01") == 0
    sessions.stop(key="s1", request_key="b")
    assert minutes_of("H01") == 10
    assert LabourLine.objects.count() == 3
    assert audit.findings() == []


def test_an_undo_after_the_ten_seconds_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    start()
    done = sessions.stop(key="s1")
    later = now() + timedelta(seconds=undo.SECONDS + 10)
    monkeypatch.setattr(undo.timezone, "now", lambda: later)
    with pytest.raises(Refused, match="10 seconds for an undo are over"):
        sessions.undo_stop(session=done)
    assert not WorkSession.objects.get().runs


def test_only_who_stopped_it_may_undo() -> None:
    anna = factories.owner("anna")
    start(by=anna)
    done = sessions.stop(key="s1", by=anna)
    with pytest.raises(NotAllowed):
        sessions.undo_stop(session=done, by=factories.owner("ben"))


def test_a_running_or_dropped_timer_has_nothing_to_undo() -> None:
    with pytest.raises(Refused, match="nothing to undo"):
        sessions.undo_stop(session=start())
    with pytest.raises(Refused, match="nothing to undo"):
        sessions.undo_stop(session=sessions.drop(key="s1"))


def test_an_undo_is_refused_while_the_skin_has_another_timer() -> None:
    anna, ben = factories.owner("anna"), factories.owner("ben")
    start(by=anna)
    done = sessions.stop(key="s1", by=anna)
    start(by=ben, key="s2")
    with pytest.raises(Refused, match="ben has a timer on H01"):
        sessions.undo_stop(session=done, by=anna)
    assert minutes_of("H01") == 1


def test_a_skin_lost_meanwhile_is_left_out_and_the_others_bear_the_minutes() -> None:
    start("H01", "H02", ago=20 * MINUTE)
    losses.lose(skin=Skin.objects.get(tag="H01"), on=timezone.localdate() - timedelta(days=1), reason="torn")
    sessions.stop(key="s1")
    assert (minutes_of("H01"), minutes_of("H02")) == (0, 20)


def test_a_skin_lost_on_the_day_itself_still_bears_its_last_session() -> None:
    start(ago=20 * MINUTE)
    losses.lose(skin=Skin.objects.get(tag="H01"), on=timezone.localdate(), reason="torn")
    sessions.stop(key="s1")
    assert minutes_of("H01") == 20


def test_when_no_skin_can_bear_it_the_stop_says_what_to_do_and_keeps_the_minutes() -> None:
    start(ago=20 * MINUTE)
    losses.lose(skin=Skin.objects.get(tag="H01"), on=timezone.localdate() - timedelta(days=1), reason="torn")
    with pytest.raises(Refused, match="Log these 20 min on another skin or a batch by hand, then drop the timer"):
        sessions.stop(key="s1")
    assert WorkSession.objects.get().runs


def test_a_skin_finished_meanwhile_bears_it_as_late_cost() -> None:
    factories.work(tags=["H01"])
    start(ago=20 * MINUTE)
    article = factories.finish("H01", on=timezone.localdate())[0]
    sessions.stop(key="s1")
    assert minutes_of("H01") == 80
    article.refresh_from_db()
    assert audit.findings() == []


def test_a_skin_that_left_its_batch_meanwhile_bears_it_directly() -> None:
    bath = factories.batch("B1", tags=["H01", "H02"])
    factories.work(batch=bath)
    start(ago=20 * MINUTE)
    batches.leave(batch=bath, skin=Skin.objects.get(tag="H01"), on=timezone.localdate() - timedelta(days=1))
    sessions.stop(key="s1")
    line = LabourLine.objects.latest("pk")
    assert line.batch is None
    assert minutes_of("H01") == 30 + 20


def test_books_closed_meanwhile_keep_the_timer_and_say_the_ways_out() -> None:
    start(ago=20 * MINUTE)
    workshop.close_books(to=timezone.localdate())
    with pytest.raises(Refused, match=r"books are closed.*log these 20 min on an open day by hand"):
        sessions.stop(key="s1")
    assert WorkSession.objects.get().runs


def test_a_helpers_minutes_stand_under_the_helpers_name_and_the_owners_under_none() -> None:
    helper = factories.person("helper")
    start("H01", by=helper)
    start("H02", key="s2", by=factories.person("owner"))
    assert sessions.stop(key="s1", by=helper).labour.who == helper.username  # type: ignore[union-attr]
    assert sessions.stop(key="s2", by=helper).labour.who == ""  # type: ignore[union-attr]


def test_only_those_who_work_in_the_shed_may_time() -> None:
    keeper = factories.person("bookkeeper")
    start()
    for act in (
        lambda: start("H02", key="s2", by=keeper),
        lambda: sessions.stop(key="s1", by=keeper),
        lambda: sessions.drop(key="s1", by=keeper),
        lambda: sessions.undo_stop(session=WorkSession.objects.get(), by=keeper),
    ):
        with pytest.raises(NotAllowed):
            act()


def test_a_lacing_that_was_timed_wears_a_frame() -> None:
    start(kind="lace", task="to the frame")
    assert sessions.stop(key="s1").labour.laced  # type: ignore[union-attr]


def test_a_batch_with_a_timer_cannot_be_dropped() -> None:
    bath = factories.batch("B1", tags=["H01"])
    start()
    with pytest.raises(Refused, match="has entries"):
        batches_services.cancel(batch=bath)


def test_two_hands_on_one_skin_at_once_start_one_timer(shared_database: None) -> None:
    anna, ben = factories.owner("anna"), factories.owner("ben")
    answers = together(lambda: start(by=anna, key="a"), lambda: start(by=ben, key="b"))
    assert sorted(type(each).__name__ for each in answers) == ["Refused", "WorkSession"]
    assert SessionSkin.objects.filter(running=True).count() == 1


def test_one_person_on_two_devices_at_once_starts_one_timer(shared_database: None) -> None:
    anna = factories.owner("anna")
    answers = together(lambda: start("H01", by=anna, key="a"), lambda: start("H02", by=anna, key="b"))
    assert sorted(type(each).__name__ for each in answers) == ["Refused", "WorkSession"]
    refusal = next(each for each in answers if isinstance(each, Refused))
    assert "Your timer on" in str(refusal)


def test_one_start_sent_twice_at_once_starts_once(shared_database: None) -> None:
    anna = factories.owner("anna")
    answers = together(*[lambda: start(by=anna)] * 3)
    assert [each.pk for each in answers] == [WorkSession.objects.get().pk] * 3


def test_two_devices_that_stop_at_once_log_once(shared_database: None) -> None:
    start(ago=20 * MINUTE)
    answers = together(*[(lambda key=key: sessions.stop(key="s1", request_key=key)) for key in "ab"])
    assert sorted(type(each).__name__ for each in answers) == ["Refused", "WorkSession"]
    assert LabourLine.objects.count() == 1


def test_a_stop_and_a_drop_at_once_leave_one_of_them(shared_database: None) -> None:
    start(ago=20 * MINUTE)
    answers = together(lambda: sessions.stop(key="s1"), lambda: sessions.drop(key="s1"))
    assert sorted(type(each).__name__ for each in answers) == ["Refused", "WorkSession"]
    row = WorkSession.objects.get()
    assert (row.labour is None) == (row.dropped_at is not None)
