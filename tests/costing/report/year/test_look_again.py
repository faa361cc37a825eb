"""What is worth a second look: the few that weigh most are named, the others counted, and all of them are listed somewhere."""

from decimal import Decimal
from typing import Any

from costing.report.year import look_again
from costing.report.year.look_again import Doubt
from inventory.report import Cells, Report, Table

D = Decimal


def doubts(**rows: list[Cells]) -> list[Doubt]:
    """Of a report of these rows."""
    tables = tuple(
        Table(name, "", (), tuple(rows.get(name, ()))) for name in ("unlogged", "by_method", "waiting", "costs")
    )
    return list(look_again.doubts(Report("", "2025", "EUR", 2, tables), D(16)))


def lay(number: int, **more: Any) -> Cells:
    """A piece that was finished after ten days and has been waiting for 200 and so many more."""
    return {"piece": f"P{number}", "left_on": None, "to_finish": 10, "days": 210 + number, **more}


def names(doubt: Doubt) -> list[str]:
    return [thing.text for thing in doubt.things]


def test_of_pieces_that_lie_those_that_lie_longest_are_named_and_the_others_counted() -> None:
    (doubt,) = doubts(waiting=[lay(number) for number in range(141)])
    assert doubt.words == "140 pieces waited more than 200 days for a buyer:"
    assert names(doubt) == ["P140", "P139", "P138", "P137", "P136"]
    assert (doubt.more, doubt.rest, doubt.sought) == (135, "waiting", "still here")


def test_days_until_it_was_finished_do_not_count_as_waiting() -> None:
    (doubt,) = doubts(waiting=[lay(1), lay(2, to_finish=300, days=502), lay(3, to_finish=300, days=500)])
    assert (names(doubt), doubt.more) == (["P2", "P1"], 0)


def test_five_are_all_named() -> None:
    (doubt,) = doubts(waiting=[lay(number) for number in range(1, 6)])
    assert (len(names(doubt)), doubt.more) == (5, 0)


def test_of_skins_without_hours_those_that_came_last_and_of_those_with_few_those_that_lack_most() -> None:
    none: list[Cells] = [{"tag": f"N{at}", "usual_low": None, "minutes": D(0)} for at in range(7)]
    few: list[Cells] = [{"tag": f"F{at}", "usual_low": D(100 + at), "minutes": D(10)} for at in range(6)]
    without, short = doubts(unlogged=[*few, *none])
    assert (names(without), without.more, without.rest) == (["N6", "N5", "N4", "N3", "N2"], 2, "unlogged")
    assert (names(short), short.more, short.rest) == (["F5", "F4", "F3", "F2", "F1"], 1, "unlogged")


def test_of_methods_and_kinds_of_cost_a_few_are_named() -> None:
    slow, loose = doubts(
        by_method=[{"method": f"M{at}", "per_hour": D(at)} for at in range(9)],
        costs=[{"heading": f"No heading: C{at}"} for at in range(7)],
    )
    assert slow.words == "M0, M1, M2, M3, M4 and 3 more earned less than half your wage."
    assert (slow.more, slow.rest) == (3, "by_method")
    assert loose.words == "No heading is chosen for C0, C1, C2, C3, C4 and 2 more."
