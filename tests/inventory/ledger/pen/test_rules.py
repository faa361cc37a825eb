"""The pen reckons in whole thousandths what `inventory.ledger.costflow` says in decimals: the rule is there, and holds here."""

from __future__ import annotations

from random import Random

import pytest

from inventory.ledger import costflow
from inventory.ledger.costflow import Balance
from inventory.ledger.pen import rules
from inventory.ledger.pen.rules import Left, Shelf
from inventory.money import from_steps
from tests.thorough import THOROUGH

DRAWS = 20_000 if THOROUGH else 300


def balance(quantity: int, value: int) -> Balance:
    return Balance(from_steps(quantity, 3), from_steps(value, 3))


def some(of: Random, most: int) -> int:
    """Often a round or a small number: there figures meet and rounding lies on the half."""
    return of.choice([of.randint(0, most), of.randint(0, 20), of.randint(0, most // 1000) * 1000])


def drawn(of: Random, lots: list[Left], days: list[tuple[int, int]]) -> int:
    held = sum(lot.quantity for lot in lots)
    return of.choice([some(of, held), held, *(quantity for quantity, _ in days), lots[0].quantity])


@pytest.mark.parametrize("places", [0, 2, 3])
def test_a_random_draw_is_what_the_rule_says(places: int) -> None:
    of, coin = Random(places), 10 ** (3 - places)  # noqa: S311 - figures, no secret
    for _ in range(DRAWS // 3):
        lots = [Left(n, 1 + some(of, 50_000), some(of, 100_000) // coin * coin) for n in range(of.randint(1, 5))]
        moved = [(some(of, 9_000), some(of, 20_000) // coin * coin) for _ in range(of.randint(0, 4))]
        now = sum(lot.quantity for lot in lots), sum(lot.value for lot in lots)
        days = rules.days_before(now, moved)
        assert [balance(*day) for day in days] == costflow.days_before(balance(*now), [balance(*day) for day in moved])
        quantity = min(max(drawn(of, lots, days), 1), now[0])

        takes = costflow.fifo_issue([balance(lot.quantity, lot.value) for lot in lots], from_steps(quantity, 3), places)
        parts = rules.from_lots(lots, quantity, coin)
        assert [(part.lot, balance(-part.quantity, -part.value)) for part in parts] == [
            (take.index, Balance(take.quantity, take.value)) for take in takes
        ]
        assert [part.left for part in parts] == [
            (lots[part.lot].quantity + part.quantity, lots[part.lot].value + part.value) for part in parts
        ]
        values = [-sum(part.value for part in parts)]
        decimals = [balance(*day) for day in days]
        if quantity <= min(held for held, _ in days) and min(worth for _, worth in days) >= 0:
            values.append(rules.average(days, quantity, coin))
            said = costflow.average_issue_on(decimals, from_steps(quantity, 3), places)
            assert from_steps(values[-1], 3) == said
        for value in values:
            assert rules.fits(days, quantity, value) == costflow.fits(decimals, *balance(quantity, value))


def test_more_than_the_lots_hold_is_an_error() -> None:
    with pytest.raises(ValueError, match="500 more than the lots hold"):
        rules.from_lots([Left(1, 1000, 0)], 1500, 10)


def test_a_draw_changes_every_day_and_the_lots_it_came_from() -> None:
    shelf = Shelf(3000, 900, [(5000, 1500), (3000, 900)], [Left(1, 1000, 300), Left(2, 2000, 600)])
    left = shelf.move(-1500, -450, rules.from_lots(shelf.lots, 1500, 10))
    assert left == (1500, 450)
    assert shelf.days == [(3500, 1050), (1500, 450)]
    assert shelf.lots == [Left(2, 1500, 450)]
