"""The family of refusals: a text, the field and the row it speaks of."""

from __future__ import annotations

import pytest

from inventory.errors import Refused, ShortStock, Taken, each_row, in_row


def test_a_refusal_has_its_text_field_and_row() -> None:
    refusal = Refused("No.", field="tag", row=2)
    assert (str(refusal), refusal.field, refusal.row) == ("No.", "tag", 2)
    assert (Refused("No.").field, Refused("No.").row) == (None, None)


def test_a_class_of_the_family_makes_its_sentence_and_names_its_entry() -> None:
    taken = Taken("The tag", "{H01}", field="tag")
    assert str(taken) == "The tag {H01} is used already. Choose another, or open the one that is there."
    assert taken.field == "tag"
    assert ShortStock([("Alum", "2 kg", "1 kg")], "2025-03-04").field == "quantity"


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
