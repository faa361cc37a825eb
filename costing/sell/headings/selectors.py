"""The kinds of cost and the headings as they hold: the maker's own rows over those that come with the program."""

from costing.sell.headings.models import CostHeading, CostKind
from costing.sell.headings.shipped import FORMS, KINDS, PLAIN, STOCK, TaxForm
from inventory.base import selectors as workshop


@workshop.read_once
def headings() -> list[CostHeading]:
    """In the order of the form. Rows that are not saved are those of the plain list."""
    return list(CostHeading.objects.all()) or of_form(FORMS[PLAIN])


def of_form(form: TaxForm) -> list[CostHeading]:
    """A shipped form's headings, not saved."""
    return [
        CostHeading(form=form.name, line=row.line, words=row.words, position=at, stock=STOCK in row.kinds)
        for at, row in enumerate(form.headings, start=1)
    ]


def form_of(rows: list[CostHeading]) -> TaxForm | None:
    """The shipped form that the headings began as."""
    return FORMS.get(rows[0].form) if rows else None


@workshop.read_once
def kinds() -> dict[str, CostKind]:
    """By code: those that come with the program, in their order, then the maker's own."""
    own = {row.code: row for row in CostKind.objects.select_related("heading")}
    found = {code: own.pop(code, None) for code in KINDS}
    if None in found.values():
        rows = headings()
        form, by_words = form_of(rows), {row.words: row for row in rows}
        for code, shipped in KINDS.items():
            if found[code] is None:
                under = by_words.get(form.of(code)) if form else None
                found[code] = CostKind(
                    code=code, name=shipped.name, place=shipped.place, asks=shipped.asks, heading=under
                )
    return {**{code: row for code, row in found.items() if row is not None}, **own}


def kind(code: str) -> CostKind | None:
    return kinds().get(code)


def offered(place: str) -> list[CostKind]:
    """The kinds of a place that a new cost may have."""
    return [row for row in kinds().values() if row.place == place and not row.closed]
