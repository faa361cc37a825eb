"""What a lost skin costs, whoever bears it, and what the next raw one may cost."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st

from costing.make.cost.rules import Share, parted
from costing.make.errors import NotAbove
from costing.make.losses.rules import (
    Fate,
    Leg,
    LossRate,
    Spread,
    by_stage,
    by_trait,
    most_to_pay,
    reallocate,
    stop_or_go,
)
from inventory.errors import Refused
from tests.costing.make.cost.test_rules import RATES, demo_share
from tests.properties import FURTHER

D = Decimal
SALVAGE = D("10.00")
FEWER = settings(max_examples=50 * FURTHER)
PARTS = st.integers(0, 120).map(lambda parts: Fraction(parts, 120))

FATES = [
    Fate("H04", ("salt", "wash", "paste"), "", "reindeer", "Kelokangas"),
    Fate("H05", ("salt", "wash"), "wash", "reindeer", "Kelokangas"),
    Fate("H06", ("salt", "wash", "paste"), "", "reindeer", ""),
    Fate("H07", ("salt", "lime"), "", "goat", "Pöllöpuro"),
]


def test_a_stage_is_judged_by_the_skins_that_reached_it() -> None:
    assert by_stage(FATES) == {
        "salt": LossRate(0, 4),
        "wash": LossRate(1, 3),
        "paste": LossRate(0, 2),
        "lime": LossRate(0, 1),
    }
    assert by_stage(FATES)["wash"].rate == Fraction(1, 3)


def test_species_and_suppliers_are_judged_by_all_their_skins() -> None:
    assert by_trait(FATES, "species") == {"goat": LossRate(0, 1), "reindeer": LossRate(1, 3)}
    assert by_trait(FATES, "supplier") == {
        "": LossRate(0, 1),
        "Kelokangas": LossRate(1, 2),
        "Pöllöpuro": LossRate(0, 1),
    }
    assert list(by_trait(FATES, "species")) == ["goat", "reindeer"], "by name, whichever skin came first"


def test_a_skin_that_goes_through_a_stage_twice_counts_once() -> None:
    assert by_stage([Fate("H01", ("wash", "wash"))]) == {"wash": LossRate(0, 1)}


def test_nine_skins_are_few_and_ten_are_not() -> None:
    assert LossRate(0, 9).few
    assert not LossRate(0, 10).few


def test_a_skin_cannot_be_lost_where_it_never_was() -> None:
    with pytest.raises(ValueError, match="H05 was lost at lime"):
        Fate("H05", ("salt",), "lime")


def test_the_slipped_skin_written_off_and_spread() -> None:
    lost = demo_share("H05")
    found = reallocate(lost.book(), lost.full(RATES), SALVAGE, {"H04": 1, "H06": 1})
    assert (found.book, found.full) == (D("26.82"), D("75.49"))
    assert found.each == {skin: Spread(D("13.41"), D("37.75")) for skin in ("H04", "H06")}


def test_a_loss_is_spread_by_weight_when_the_batch_is() -> None:
    found = reallocate(30, 60, D(0), {"A": 1, "B": 2})
    assert found.each == {"A": Spread(D("10.00"), D("20.00")), "B": Spread(D("20.00"), D("40.00"))}


def test_salvage_above_the_cost_lowers_what_the_others_bear() -> None:
    assert reallocate(8, 8, D(10), {"A": 1}).each["A"].book == D("-2.00")


def test_of_a_lost_skin_the_salvage_stays_in_proportion_and_the_rest_and_all_hours_go_over() -> None:
    cost = Share(Fraction(20), Fraction(12), Fraction(8), Fraction(90), Fraction(60), Fraction(1))
    stays, borne = parted(cost, D(10))
    assert stays == Share(Fraction(5), Fraction(3), Fraction(2))
    assert borne == Share(Fraction(15), Fraction(9), Fraction(6), Fraction(90), Fraction(60), Fraction(1))


@pytest.mark.parametrize(("salvage", "stays"), [("-5", 0), ("0", 0), ("40", 40), ("41", 40)])
def test_what_stays_with_a_lost_skin_is_between_nothing_and_what_it_had_cost(salvage: str, stays: int) -> None:
    kept, borne = parted(Share(Fraction(30), Fraction(10)), D(salvage))
    assert (kept.book(), borne.book()) == (stays, 40 - stays)
    assert parted(Share(minutes=Fraction(30)), D(salvage)) == (Share(), Share(minutes=Fraction(30)))


def test_with_nothing_left_a_loss_can_only_be_written_off() -> None:
    assert reallocate(30, 60, D(0), {}).each == {}


@pytest.mark.parametrize(("salvage", "weight"), [("-1", "1"), ("0", "0")])
def test_salvage_and_weights_have_to_make_sense(salvage: str, weight: str) -> None:
    with pytest.raises(NotAbove):
        reallocate(30, 60, D(salvage), {"A": D(weight)})


def reindeer() -> tuple[Decimal, Leg, Leg]:
    """A reindeer skin up to the slip and after it, as the exact shares of the year have it."""
    slipped, kept = demo_share("H05"), demo_share("H04")
    rest = kept + Share(materials=-slipped.materials, minutes=-slipped.minutes)
    before = Leg(slipped.materials, slipped.hours())
    return D("235.44"), before, Leg(rest.materials + rest.wear(RATES), rest.hours())


@pytest.mark.parametrize(
    ("chance", "price"), [(Fraction(0), "38.06"), (Fraction(1, 10), "29.20"), (Fraction(1, 3), "8.54")]
)
def test_the_most_to_pay_for_a_raw_reindeer_falls_with_the_loss_rate(chance: Fraction, price: str) -> None:
    net, before, after = reindeer()
    assert most_to_pay(net, before, after, D("20.00"), chance) == D(price)


def test_a_skin_that_is_always_lost_is_worth_its_salvage_less_the_work() -> None:
    assert most_to_pay(D(200), Leg(5, 1), Leg(), D(20), 1, salvage=10) == D("-15.00")


@FEWER
@given(PARTS, st.integers(0, 300), st.integers(0, 20))
def test_at_the_most_to_pay_the_average_skin_breaks_even(chance: Fraction, net: int, hours: int) -> None:
    before, after = Leg(3, Fraction(hours, 4)), Leg(8, hours)
    price = most_to_pay(net, before, after, D(16), chance, salvage=10, places=9)
    earned = (1 - chance) * (net - after.at(D(16))) + chance * 10 - before.at(D(16)) - Fraction(price)
    assert abs(earned) <= Fraction(1, 10**9)


@pytest.mark.parametrize("chance", ["-0.1", "1.01"])
def test_a_loss_rate_outside_nought_to_one_is_refused(chance: str) -> None:
    net, before, after = reindeer()
    for ask in (
        lambda: most_to_pay(net, before, after, D(20), D(chance)),
        lambda: stop_or_go(10, 170, after, D(16), D(chance)),
    ):
        with pytest.raises(Refused, match=f"A loss rate of {chance} cannot be") as caught:
            ask()
        assert caught.value.field == "loss_rate"


def test_going_on_pays_from_exactly_the_wage_and_materials_to_come() -> None:
    ahead = Leg(D("3.00"), 4)
    assert stop_or_go(D(10), D(77), ahead, D(16)).pays
    below = stop_or_go(D(10), D("76.99"), ahead, D(16))
    assert (below.pays, below.gain) == (False, D("63.99"))


def test_a_chance_to_lose_it_can_turn_going_on_into_stopping() -> None:
    ahead = Leg(0, 4)
    assert stop_or_go(D(60), D(150), ahead, D(16)).pays
    assert not stop_or_go(D(60), D(150), ahead, D(16), Fraction(1, 2), salvage=D(10)).pays
