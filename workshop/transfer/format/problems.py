"""What is wrong with a folder: each problem with its file, row, column, value and reason. Reads and writes nothing."""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.errors import Refused

SHOWN = 50
_LONGEST_VALUE = 60
_LONGEST_REASON = 400


@dataclass(frozen=True)
class Problem:
    """One thing to put right. `row` counts as a spreadsheet does, the header being row 1; None means the whole file."""

    file: str
    reason: str
    row: int | None = None
    column: str = ""
    value: str = ""

    def __str__(self) -> str:
        where = self.file if self.row is None else f"{self.file} row {self.row}"
        if self.column:
            where += f", {self.column} “{_short(self.value, _LONGEST_VALUE)}”"
        return _printable(f"{where}: {_short(self.reason, _LONGEST_REASON)}")


class FolderRefused(Refused):
    """The folder was not loaded and nothing was written. `problems` holds every one; the text shows the first fifty.

    `unchecked` rows depend on a refused one and were not looked at further.
    """

    def __init__(self, problems: Sequence[Problem], *, unchecked: int = 0) -> None:
        self.problems = list(problems)
        self.unchecked = unchecked
        lines = [str(problem) for problem in self.problems[:SHOWN]]
        if len(self.problems) > SHOWN:
            lines.append(f"and {len(self.problems) - SHOWN} more")
        if unchecked:
            rows = "1 row was" if unchecked == 1 else f"{unchecked} rows were"
            lines.append(f"{rows} not checked further, because of a row that was refused.")
        lines.append("Nothing was written. Put the rows right and load the folder again.")
        super().__init__("\n".join(lines))


def _short(text: str, longest: int) -> str:
    return text if len(text) <= longest else f"{text[:longest]}…"


def _printable(text: str) -> str:
    """A file is a stranger's text: what could steer a terminal is shown as one replacement character."""
    return "".join(each if each.isprintable() else "\N{REPLACEMENT CHARACTER}" for each in text)
