"""Forms of bringing in: the file, and one page of answers made from its questions."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from inventory.web.forms import EntryForm
from workshop.setup.bring.book import MOST_BYTES, MOST_ROWS
from workshop.setup.bring.kinds import KINDS
from workshop.setup.bring.questions import Question

PREFIX = "answer:"


class FileForm(EntryForm):
    file = forms.FileField(
        label="Spreadsheet",
        widget=forms.FileInput(attrs={"accept": ".xlsx,.csv,.txt"}),
        help_text=f".xlsx or .csv, at most {MOST_BYTES // 1024 // 1024} MB and {MOST_ROWS:,} rows. It is not changed.",
        error_messages={
            "required": "Choose the file.",
            "empty": "The file is empty. Choose the one with your rows in it.",
        },
    )
    into = forms.ChoiceField(
        label="What its rows are",
        required=False,
        choices=[("", "find out"), *((kind.name, kind.label) for kind in KINDS.values())],
    )

    def content(self) -> tuple[str, bytes]:
        """The name and what is in it; of a file that is too large no more than shows that it is."""
        file = self.cleaned_data["file"]
        return file.name or "", bytes(file.read(MOST_BYTES + 1))


class AnswersForm(forms.Form):
    """`groups` by the questions' own, what is in none first."""

    groups: list[tuple[str, list[forms.BoundField]]]

    def __init__(self, questions: Sequence[Question], missing: bool = False) -> None:
        super().__init__()
        members: dict[str, list[forms.BoundField]] = {}
        for question in questions:
            name = PREFIX + question.name
            self.fields[name] = _field(question)
            if missing and question.open:
                self.errors.setdefault(name, self.error_class([f"Answer this: {question.label}."]))
            members.setdefault(question.group or "", []).append(self[name])
        self.groups = [(group, boxes) for group, boxes in members.items() if group]
        self.asked = members.get("", [])


def _field(question: Question) -> forms.Field:
    about: dict[str, Any] = {
        "label": question.label,
        "help_text": question.help,
        "initial": question.preset,
        "required": question.needed or bool(question.group),
    }
    if not question.choices:
        return forms.CharField(max_length=80, **about)
    first = [] if question.preset else [("", "choose")]
    return forms.ChoiceField(choices=[*first, *question.choices], **about)


def answers_in(data: Mapping[str, Any]) -> dict[str, str]:
    """What was answered on the page, by the questions' names."""
    return {
        name.removeprefix(PREFIX): str(value)[:200] for name, value in data.items() if name.startswith(PREFIX) and value
    }
