"""Price breaks of a material as text: `5 6.20; 10 5.80` is 6.20 a pack from 5 packs on, 5.80 from 10. Plain values only."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from inventory.errors import Refused
from inventory.formats import PLAIN, Style
from inventory.money import half_up

FIELD = "price_breaks"
LONGEST = 200
LEAST_PACKS = 2
_MOST_PACKS = 1_000_000


@dataclass(frozen=True)
class Break:
    """From `packs` packs on, one costs `price`."""

    packs: int
    price: Decimal


def parse(said: str, places: int, style: Style = PLAIN) -> tuple[Break, ...]:
    """The breaks, fewest packs first; none where nothing is said. `places`: the decimals of the currency.

    Refused: no pair of packs and price, packs that are not whole or fewer than two, packs that do not rise, a price that does not
    fall, is nothing or finer than the coin.

    >>> parse("5 6.20; 10 5.8", 2)
    (Break(packs=5, price=Decimal('6.20')), Break(packs=10, price=Decimal('5.8')))
    """
    found = tuple(_one(part, places, style) for part in said.split(";") if part.strip())
    for before, after in pairwise(found):
        if after.packs <= before.packs:
            raise Refused(
                f"{after.packs} packs stand after {before.packs}. Begin with the fewest packs, and name each number once.",
                field=FIELD,
            )
        if after.price >= before.price:
            raise Refused(
                f"From {after.packs} packs on a pack must cost less than the {before.price} from {before.packs} on; "
                f"{after.price} was given. Leave the break out, or check its price.",
                field=FIELD,
            )
    if len(written(found, places)) > LONGEST:
        raise Refused(f"The price breaks are longer than {LONGEST} characters. Leave out the largest.", field=FIELD)
    return found


def written(found: Sequence[Break], places: int, style: Style | None = None) -> str:
    """The breaks as they are kept, or as a `style` has them in a box; `parse` reads them back.

    >>> written(parse("5 6.2;10  5.80", 2), 2)
    '5 6.20; 10 5.80'
    """
    return "; ".join(
        f"{each.packs} {half_up(each.price, places):f}" if style is None else f"{each.packs} {style.typed(each.price)}"
        for each in found
    )


def _one(part: str, places: int, style: Style) -> Break:
    packs, _, price = part.strip().partition(" ")
    if not price.strip():
        raise Refused(
            f"“{part.strip()[:40]}” is no price break. Write the packs and what a pack costs then, such as "
            f"{_example(places, style)}",
            field=FIELD,
        )
    if not (packs.isascii() and packs.isdigit() and LEAST_PACKS <= int(packs[:12]) <= _MOST_PACKS):
        raise Refused(
            f"A price break begins at a whole number of packs, {LEAST_PACKS} or more; “{packs[:40]}” was given.",
            field=FIELD,
        )
    found = style.read(price, field=FIELD)
    if found <= 0:
        raise Refused(f"A pack from {packs} on must cost more than nothing; {found} was given.", field=FIELD)
    if found != half_up(found, places) or found > _MOST_PACKS:
        raise Refused(
            f"{found} from {packs} packs on is no price: at most {_MOST_PACKS}, with {places} decimals.", field=FIELD
        )
    return Break(int(packs), found)


def _example(places: int, style: Style) -> str:
    """Two breaks as they are written here.

    >>> _example(2, PLAIN), _example(0, PLAIN)
    ('5 6.2; 10 5.8.', '5 6; 10 5.')
    """
    prices = (Decimal("6.2"), Decimal("5.8")) if places else (Decimal(6), Decimal(5))
    return written([Break(5, prices[0]), Break(10, prices[1])], places, style) + "."
