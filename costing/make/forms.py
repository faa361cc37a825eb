"""Fields that forms of several rooms of making share. Knows the tables and no room."""

from typing import Any

from django import forms

from costing.make.recipes.models import TaskKind


class KindField(forms.ChoiceField):
    """What work counts as; nothing chosen is other work, or what the service takes it for."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("help_text", "Lacing wears a frame; softening counts towards what an hour of it earns.")
        options.setdefault("initial", TaskKind.OTHER)
        super().__init__(choices=TaskKind.choices, label="Kind of work", required=False, **options)

    def has_changed(self, initial: Any, data: Any) -> bool:
        """A row in which nothing else is entered is empty, whatever its list opens with."""
        return bool(data) and super().has_changed(initial, data)
