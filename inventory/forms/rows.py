"""Several lines in one form without any script: some empty rows, and a button that answers with more of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any, cast

from django import forms
from django.forms.formsets import BaseFormSet, formset_factory

if TYPE_CHECKING:
    _Base = BaseFormSet[Any]
else:
    _Base = BaseFormSet  # takes its type argument in the stubs only

MORE = "more"
EMPTY_ROWS = 3
STEP = 3
MOST = 60


class Rows(_Base):
    """Rows that may each be left empty, also those that were filled before more were asked for."""

    def initial_form_count(self) -> int:
        return 0

    def filled(self) -> Iterator[Any]:
        """The forms in which something was entered, in order."""
        return (form for form in self.forms if form.has_changed())

    def complaints(self) -> list[str]:
        """Every fault with the row it stands in, for the summary above the form."""
        told = [str(error) for error in self.non_form_errors()]
        for number, form in enumerate(self.forms, start=1):
            for name, errors in form.errors.items():
                label = "" if name == "__all__" else f", {form[name].label.lower()}"
                told += [f"Line {number}{label}: {error}" for error in errors]
        return told


def rows(form: type[forms.Form], *, empty: int = EMPTY_ROWS) -> type[Rows]:
    made = formset_factory(form, formset=Rows, extra=empty, max_num=MOST, absolute_max=MOST)
    return cast("type[Rows]", made)


def typed(fields: Iterable[str], data: Mapping[str, Any], prefix: str = "") -> dict[str, Any]:
    """What stands in the boxes as it was typed, unjudged: to show a form again."""
    names = {name: f"{prefix}-{name}" if prefix else name for name in fields}
    return {name: data.get(html, "") for name, html in names.items()}


def more(kind: type[Rows], data: Mapping[str, Any], *, prefix: str, form_kwargs: dict[str, Any]) -> Rows:
    """The rows as they were typed, with further empty ones below; nothing is judged yet."""
    count = str(data.get(f"{prefix}-TOTAL_FORMS", ""))
    there = min(MOST, int(count)) if count.isascii() and count.isdigit() and len(count) < 6 else 0
    kept = [typed(kind.form.base_fields, data, f"{prefix}-{row}") for row in range(there)]
    made = kind(initial=kept, prefix=prefix, form_kwargs=form_kwargs)
    made.extra = min(MOST, there + STEP)
    return made
