"""The shopping list written to a file, by the ending of its name."""

from collections.abc import Iterable
from datetime import date
from pathlib import PurePath

from inventory.errors import Refused
from inventory.foresight.shopping import report, selectors as shopping
from workshop.answers.plain import Shape
from workshop.management.base import written
from workshop.reports import files, shopping as paper

FORMS = {".pdf": paper.paper, ".csv": lambda found: files.table_csv(report.of(found), report.LINES)}


def write(on: date, path: str) -> Shape:
    form = FORMS.get(PurePath(path).suffix.lower())
    if form is None:
        raise Refused(f"The shopping list is written as {' or '.join(FORMS)}, and {path} is neither. Name the file so.")
    found = shopping.shopping_list(on)
    lines = sum(len(basket.now) for basket in found.baskets)
    return {"on": on.isoformat(), "lines": str(lines), **written(path, form(found))}


def lines(found: Shape) -> Iterable[str]:
    count = found["lines"]
    yield f"Wrote the shopping list with {count} line{'' if count == '1' else 's'} to {found['file']}."
