"""Sharing many lines at once against the rule said line by line: the same to the last fraction."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from hypothesis import given, settings, strategies as st

from costing.make.cost.lines.rules import Line, Stay, takers
from costing.make.cost.rules import Share, share_out
from tests.costing.make.cost.test_rules import batches


def line_by_line(lines: list[Line], stays: list[Stay]) -> tuple[dict[str, Share], Share]:
    """Each line goes to its takers by weight; a lacing whole to each of them."""
    shares, unshared = {stay.skin: Share() for stay in stays}, Share()
    for line in lines:
        money = {} if line.kind == "own_time" else {line.kind: Fraction(line.money)}
        whole = Share(**money, minutes=Fraction(line.minutes), own_minutes=Fraction(line.own_minutes))
        bearers = takers(stays, line)
        weights = [line.weights.get(stay.skin, Fraction(0)) for stay in bearers]
        if not line.weights:
            weights = [stay.weight for stay in bearers]
        elif not all(weights):
            weights = [Fraction(1)] * len(bearers)
        for stay, weight in zip(bearers, weights, strict=True):
            laced = Share(laces=Fraction(line.laced))
            if stay.skin in line.worn:
                laced = Share(framed=Fraction(1), worn=Fraction(line.worn[stay.skin]))
            shares[stay.skin] += whole.times(weight / sum(weights)) + laced
        if not bearers:
            unshared += whole
    return shares, unshared


@settings(max_examples=80, deadline=None)
@given(batches(), st.data())
def test_lines_shared_at_once_are_lines_shared_one_by_one(
    batch: tuple[list[Line], list[Stay]], data: st.DataObject
) -> None:
    lines, stays = batch
    tags = [stay.skin for stay in stays]
    weight = st.fractions(0, 9, max_denominator=7)
    worn = st.integers(0, 999).map(lambda cents: Decimal(cents).scaleb(-2))
    if tags:
        lines = [
            replace(
                line,
                weights=data.draw(st.just({}) | st.dictionaries(st.sampled_from(tags), weight)),
                worn=data.draw(st.just({}) | st.dictionaries(st.sampled_from(tags), worn)),
            )
            for line in lines
        ]
    assert share_out(lines, stays) == line_by_line(lines, stays)
