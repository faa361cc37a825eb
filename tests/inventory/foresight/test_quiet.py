"""What needs nothing done is told from the first weeks alone, and told as the whole forecast tells it."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from random import Random

import numpy as np
import pytest

from inventory.foresight import demand, rules, simulation
from inventory.foresight.quiet import quiet
from inventory.foresight.supply import Coming, Lead, Need, Parcel, Supply

TODAY = date(2025, 6, 2)


def drawn(origin: int) -> tuple[Supply, tuple[Need, ...], demand.Usual]:
    """A material as it may be: used often or seldom, for batches or besides, planned, ordered, dated or not."""
    chance = Random(origin)  # noqa: S311 - no secret
    every, most = chance.choice((2, 5, 11, 40)), chance.choice((1, 4, 9))
    uses: list[demand.Use] = []
    day = TODAY - timedelta(days=chance.choice((60, 300, 900)))
    while day <= TODAY - timedelta(days=chance.choice((0, 0, 20))):
        amount = Decimal(chance.randint(1, most) * 125) / 8
        uses.append((day, amount, chance.randint(1, 10**6) if chance.random() < 0.5 else None))
        day += timedelta(days=chance.randint(1, every))
    keeps = TODAY + timedelta(days=chance.choice((-5, 12, 40, 400)))
    parcels = [Parcel(Decimal(chance.choice((0, 40, 300, 900, 4000))))]
    if chance.random() < 0.3:
        parcels.append(Parcel(Decimal(chance.randint(1, 400)), keeps))
    coming = ()
    if chance.random() < 0.3:
        due = TODAY + timedelta(days=chance.choice((-3, 4, 25)))
        coming = (Coming(Decimal(chance.randint(1, 500)), due, "O-1", TODAY - timedelta(days=9)),)
    needs = sorted(chance.choice((0, 0, 0, 3, 20, 90)) for _ in range(2))
    asked = tuple(Need(TODAY + timedelta(days=at), Decimal(chance.randint(1, 200)), f"B{at}") for at in needs if at)
    lead = Lead(chance.choice(((0,), (5,), (3, 9, 14), (200,))))
    supply = Supply(tuple(parcels), coming, lead, safety_days=chance.choice((0, 0, 4)))
    return supply, asked, demand.usual(uses, uses[0][0], TODAY)


@pytest.mark.slow
@pytest.mark.parametrize("start", range(0, 200, 50))
def test_what_is_quiet_asks_for_nothing_and_what_asks_for_nothing_is_mostly_quiet(start: int) -> None:
    told = []
    for origin in range(start, start + 50):
        supply, needs, use = drawn(origin)
        whole = rules.forecast(supply, needs, use, TODAY, origin=origin)
        still = quiet(supply, needs, use, TODAY, origin=origin)
        assert not (still and whole.alert), origin
        dated = any(
            parcel.best_before and parcel.best_before < TODAY + timedelta(days=240) for parcel in supply.parcels
        )
        if not dated and max(supply.lead.days) < rules.HORIZON // 2:
            assert still == (not whole.alert), origin
        told.append(still)
    assert {True, False} == set(told)


@pytest.mark.slow
@pytest.mark.parametrize("until", [1, 14, 60])
def test_a_path_goes_on_as_it_began_however_far_it_is_looked_at(until: int) -> None:
    for origin in range(30):
        _, needs, use = drawn(origin)
        streams = rules.streams(use, needs, TODAY, rules.HORIZON)
        whole = simulation.run((), (), needs, streams, TODAY, rules.HORIZON, origin=origin)
        part = simulation._used(needs, streams, TODAY, rules.HORIZON, until, origin, simulation.PATHS)
        assert np.array_equal(whole.used[: until + 1], part), origin
        most = simulation.most_used(streams, until) + sum((need.quantity for need in needs), Decimal(0))
        assert simulation.amount(part[-1].max()) <= most
