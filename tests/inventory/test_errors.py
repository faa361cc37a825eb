"""The family of refusals: a text, the field and the row it speaks of, and its values as attributes."""

from __future__ import annotations

import inspect
from fractions import Fraction

import pytest

from costing.make import errors as make
from costing.sell import errors as sell
from inventory import errors
from inventory.errors import Refused, ShortStock, Taken, each_row, in_row

FAMILY = [
    kind
    for module in (errors, make, sell)
    for _, kind in inspect.getmembers(module, inspect.isclass)
    if issubclass(kind, Refused) and kind.__module__ == module.__name__
]


def test_a_refusal_has_its_text_field_and_row() -> None:
    refusal = Refused("No.", field="tag", row=2)
    assert (str(refusal), refusal.message, refusal.field, refusal.row) == ("No.", "No.", "tag", 2)
    assert (Refused("No.").field, Refused("No.").row) == (None, None)


def test_a_class_of_the_family_says_its_attributes() -> None:
    refusal = make.TakesTooMuch("H01", Fraction(7, 6), Fraction(1, 3))
    assert str(refusal) == "The pieces take 116.67 % of H01, but 33.33 % of it is free; make them smaller or fewer."
    assert (refusal.what, refusal.taken, refusal.field) == ("H01", Fraction(7, 6), "share")
    assert Taken("The tag", "{H01}", field="tag").message.startswith("The tag {H01} is used already")


@pytest.mark.parametrize("kind", [kind for kind in FAMILY if kind.says])
def test_what_is_said_names_attributes_that_are_there(kind: type[Refused]) -> None:
    names = [name for _, name, _, _ in errors._SENTENCE.parse(kind.says) if name]
    own = {*inspect.signature(kind).parameters, *dir(kind)}
    assert names
    assert set(names) <= own
    written = [spec for _, _, spec, _ in errors._SENTENCE.parse(kind.says) if spec]
    assert set(written) <= set(errors.WRITTEN)


def test_what_is_refused_within_a_row_speaks_of_it_unless_it_says_otherwise() -> None:
    with pytest.raises(Refused) as refused, in_row(3):
        raise Refused("No.")
    assert refused.value.row == 3
    with pytest.raises(ShortStock) as short, in_row(3):
        raise ShortStock([("Alum", "2 kg", "1 kg")], "2025-03-04", row=1)
    assert short.value.row == 1


def test_each_row_is_judged_until_one_is_refused() -> None:
    def judge(row: int) -> int:
        if row < 0:
            raise Refused("No.")
        return row * 2

    assert each_row([1, 2], judge) == [2, 4]
    with pytest.raises(Refused) as refused:
        each_row([1, -2, -3], judge)
    assert refused.value.row == 1
