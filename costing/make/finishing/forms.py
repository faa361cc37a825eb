"""Forms of finishing: choosing skins, the pieces they become, and more work on a piece."""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms

from costing.make.batches.stays.forms import SkinsField
from costing.make.finishing import rules as finishing, selectors as finishing_read
from costing.make.forms import KindField
from costing.make.recipes.models import TaskKind
from inventory import units
from inventory.articles.forms import hair_field, use_field
from inventory.base import measures
from inventory.base.selectors import coins, places
from inventory.errors import Refused
from inventory.models import Method, Skin
from inventory.money import ZERO, from_steps, half_up
from inventory.places.forms import place_field
from inventory.web.fields import MoneyBox, ShareField, Suggest, UnitField, areas
from inventory.web.forms import DayField, EntryForm, FigureField, rows

CM2_A_DM2 = 100


class ChooseForm(forms.Form):
    """Which skins become the piece; asked by address, so that the next page can be reached again."""

    def __init__(self, *args: Any, skins: Sequence[Skin], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["skin"] = SkinsField(
            skins,
            needed=True,
            label="Skins",
            help_text="One for a rug; one that is cut into several pieces; or several joined into one.",
        )


class FinishForm(EntryForm):
    on = DayField(label="Finished on")
    method = forms.ChoiceField(
        choices=Method.choices,
        help_text="Decides the words of the care label. Oil-tanned without smoke: choose alum-tawed, whose label says never to "
        "wash it.",
    )
    hair = hair_field()
    use = use_field()
    place = place_field("Location", empty_label="–")
    offcuts = MoneyBox(
        required=False,
        min_value=0,
        label="Offcuts are worth",
        help_text="For shares by area. Empty: nothing, all is allocated to the pieces. Else they become a piece of their own.",
    )


class PieceForm(forms.Form):
    kind = forms.CharField(max_length=60, widget=Suggest(finishing_read.kinds))
    number = forms.CharField(max_length=20)
    area = FigureField(required=False)
    area_unit = UnitField(of=areas, initial=measures.area_unit, label="Measured in")
    grade = forms.CharField(max_length=12, required=False)
    weight = FigureField(required=False, label="Grade weighs", help_text="")
    list_price = MoneyBox(required=False, label="List price")
    share = ShareField(required=False, label="Share of cost")

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        for name in ("area", "weight", "list_price"):
            if (value := found.get(name)) is not None and value <= 0:
                self.add_error(name, f"It must be more than nothing, or empty; {value} was given.")
        return found


PieceRows = rows(PieceForm, empty=3)


def area_in_base(row: dict[str, Any]) -> Decimal | None:
    """The area of a cleaned row in cm²."""
    return None if row["area"] is None else units.to_base(row["area"], row["area_unit"], "cm2")


def shares(given: Sequence[Fraction | None], free: Fraction) -> list[Fraction]:
    """Given shares as they are; those left empty take equal parts of what is free and not given.

    >>> shares([None, None, None], Fraction(1))
    [Fraction(1, 3), Fraction(1, 3), Fraction(1, 3)]
    >>> shares([Fraction(1, 2), None], Fraction(1))
    [Fraction(1, 2), Fraction(1, 2)]
    """
    empty = sum(share is None for share in given)
    rest = free - sum((share for share in given if share is not None), Fraction(0))
    return [rest / empty if share is None else share for share in given]


def by_area(
    rows: Sequence[dict[str, Any]], skins: Sequence[Skin], *, free: Fraction, book: Fraction, offcuts: Decimal
) -> finishing.Split:
    """Shares of cleaned rows by area × grade weight (1 where none is given); every row needs its area.

    The pieces may not measure more than the skins, where those were all measured dry.
    """
    cuts = []
    for row in rows:
        area = area_in_base(row)
        if area is None:
            raise Refused(f"{row['number']} has no area. Measure it, or type the shares yourself.", field="area")
        cuts.append(finishing.Cut(row["number"], area / CM2_A_DM2, Fraction(row["weight"] or 1)))
    measured = [skin.dry_area for skin in skins]
    whole = sum((area for area in measured if area), ZERO) / CM2_A_DM2 if all(measured) else None
    names = ", ".join(skin.tag for skin in skins)
    return finishing.split(names, cuts, area=whole, book=book, offcuts=offcuts, free=free, said=told)


def told(dm2: Fraction) -> str:
    """An area in dm² for a sentence, in the workshop's own unit."""
    return measures.own_area(dm2 * Fraction(CM2_A_DM2))


def refuse_unused(rows: Sequence[dict[str, Any]], offcuts: Decimal | None, book: Fraction | None, *, kind: str) -> None:
    """Refuses what counts for shares by area alone and was typed without them: a grade's weight, a value of the offcuts.

    `book` is what the skins cost. Offcuts in a row of their own, of that `kind`, are charged what was typed to the coin.
    """
    press = "Press “Shares by area”"
    for at, row in enumerate(rows):
        if row["weight"] is not None and row["share"] is None:
            raise Refused(
                f"The grade's weight counts for shares by area. {press}, or clear it.", field="weight", row=at
            )
    if not offcuts:
        return
    charged = [row["share"] for row in rows if row["kind"] == kind and row["share"] is not None]
    said = coins(offcuts)
    if not charged:
        raise Refused(f"Offcuts worth {said} are no piece yet. {press}, or clear their value.", field="offcuts")
    now = half_up((book or Fraction(0)) * sum(charged, Fraction(0)), places())
    if abs(now - offcuts) > from_steps(1, places()):
        raise Refused(
            f"Offcuts worth {said} are wanted, and their piece is charged {coins(now)}. {press} again, or clear their value.",
            field="offcuts",
        )


class MoreWorkForm(EntryForm):
    """The head of more work on a finished piece; its materials are rows."""

    on = DayField(label="Day")
    kind = KindField(initial=TaskKind.FINISH)
    task = forms.CharField(max_length=56, label="What was done")
    minutes = FigureField(required=False, min_value=0, unit="min", label="My minutes")
