"""Photos and bills beside the files: a sub-folder of each, whose files are named by rows. Reads them warily; writes only copies.

Owns which file of the folder is meant and that none is ignored. What a photo or a bill may be, and what is kept of it, is
its store's (`costing.make.readings.services`, `inventory.base.bills`).
"""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from django.db.models import Model

from costing.make.readings import services as readings
from costing.models import Expense, PhotoArea, Reading
from inventory.base import bills, pictures
from inventory.errors import Refused
from inventory.models import Delivery


@dataclass(frozen=True)
class Store:
    """A store of files by its sub-folder: the files that name what is in it, the column, and how it is called."""

    name: str
    files: tuple[str, ...]
    column: str
    path: Callable[[str], Path]
    refuse_large: Callable[[int], None]
    held: Callable[[Collection[str]], set[str]]

    def named(self, rows: Mapping[str, Iterable[Mapping[str, str]]]) -> list[str]:
        """The names in rows that are to be saved, each once."""
        found = [row[self.column] for file in self.files for row in rows.get(file, ()) if row[self.column]]
        return list(dict.fromkeys(found))


def _held_photos(names: Collection[str]) -> set[str]:
    return _named_in((Reading, PhotoArea), "photo", names)


def _held_bills(names: Collection[str]) -> set[str]:
    return _named_in((Delivery, Expense), "bill", names)


def _named_in(models: Iterable[type[Model]], field: str, names: Collection[str]) -> set[str]:
    rows = (model._default_manager.filter(**{f"{field}__in": names}) for model in models)
    return {name for each in rows for name in each.values_list(field, flat=True)}


PHOTOS = Store("photos", ("readings.csv", "areas.csv"), "photo", readings.path, pictures.refuse_large, _held_photos)
BILLS = Store("bills", ("deliveries.csv", "expenses.csv"), "bill", bills.path, bills.refuse_large, _held_bills)


class Album:
    """The photos, or the bills, of a folder that is being loaded. `kept` are the names under which the store took them in."""

    def __init__(self, folder: Path, store: Store = PHOTOS) -> None:
        self.store = store
        self.folder = folder / store.name
        self.kept: set[str] = set()

    def content(self, name: str) -> bytes:
        """The file of that name. Refuses one that is missing, too large, or leads out of the folder."""
        file, own = self.folder / name, self.store.name
        if self.folder.is_symlink() or file.is_symlink():
            raise Refused(
                f"{own}/{name} only points to another file. Put the {self.store.column} itself there.",
                field=self.store.column,
            )
        if not file.is_file():
            raise Refused(
                f"{own}/{name} is missing. Put the {self.store.column} there, or leave the cell empty.",
                field=self.store.column,
            )
        try:
            self.store.refuse_large(file.stat().st_size)
            return file.read_bytes()
        except OSError as error:
            raise Refused(
                f"{own}/{name} cannot be read: {error.strerror}. Check its permissions.", field=self.store.column
            ) from error

    def unnamed(self, named: Collection[str]) -> list[str]:
        """Files that lie there and that no row names. Hidden files, which systems leave behind, are ignored."""
        if not self.folder.is_dir():
            return []
        return sorted(file.name for file in self.folder.iterdir() if file.name[0] != "." and file.name not in named)

    def forget_unheld(self) -> None:
        """Files that no record holds, because nothing was written after all, leave the store again."""
        for name in self.kept - self.store.held(self.kept):
            self.store.path(name).unlink(missing_ok=True)


def refuse_missing_bills(names: Iterable[str]) -> None:
    for name in names:
        try:
            bills.path(name)
        except FileNotFoundError:
            raise Refused(
                f"The bill {name} is missing in the data folder. Put it back from a backup, or keep another in its place; "
                "then save again."
            ) from None


def refuse_missing(names: Iterable[str]) -> None:
    """Before anything is saved: a reading or an area whose photo is gone from the data folder is named, not ignored."""
    for name in names:
        try:
            readings.path(name)
        except FileNotFoundError:
            raise Refused(
                f"The photo {name} of {_whose(name)} is missing in the data folder. Put it back from a backup, or reverse that "
                "entry; then save again."
            ) from None


def _whose(name: str) -> str:
    readings = Reading.objects.filter(photo=name, reversed_at__isnull=True).order_by("at")
    areas = PhotoArea.objects.filter(photo=name, reversed_at__isnull=True).select_related("skin").order_by("pk")
    return " and ".join(
        [
            *(f"the reading of {reading.at:%Y-%m-%d %H:%M}" for reading in readings[:1]),
            *(f"the area of {area.skin.tag} of {area.on}" for area in areas[:1]),
        ]
    )


def copy(store: Store, names: Collection[str], folder: Path) -> None:
    """The files as they are kept, in their sub-folder. Raises `OSError` where the disk will not take them."""
    if not names:
        return
    (folder / store.name).mkdir()
    for name in names:
        (folder / store.name / name).write_bytes(store.path(name).read_bytes())
