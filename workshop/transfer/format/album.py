"""Photos beside the files: a sub-folder of pictures that readings.csv names. Reads them warily; writes only copies.

Owns which file of the folder is meant and that none is ignored. What a photo may be, and what is kept of it, is the
photo store's (`costing.make.readings.services`).
"""

from collections.abc import Collection, Iterable
from pathlib import Path

from costing.make.readings import services as readings
from costing.models import Reading
from inventory.errors import Refused

PHOTOS = "photos"


class Album:
    """The photos of a folder that is being loaded. `kept` are the names under which the store took them in."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder / PHOTOS
        self.kept: set[str] = set()

    def content(self, name: str) -> bytes:
        """The file of that name. Refuses one that is missing, too large, or leads out of the folder."""
        file = self.folder / name
        if self.folder.is_symlink() or file.is_symlink():
            raise Refused(f"{PHOTOS}/{name} only points to another file. Put the photo itself there.", field="photo")
        if not file.is_file():
            raise Refused(f"{PHOTOS}/{name} is missing. Put the photo there, or leave the cell empty.", field="photo")
        try:
            readings.refuse_large(file.stat().st_size)
            return file.read_bytes()
        except OSError as error:
            raise Refused(
                f"{PHOTOS}/{name} cannot be read: {error.strerror}. Check its permissions.", field="photo"
            ) from error

    def unnamed(self, named: Collection[str]) -> list[str]:
        """Photos that lie there and that no reading names. Hidden files, which systems leave behind, are ignored."""
        if not self.folder.is_dir():
            return []
        return sorted(file.name for file in self.folder.iterdir() if file.name[0] != "." and file.name not in named)

    def forget_unheld(self) -> None:
        """Photos that no reading holds, because nothing was written after all, leave the store again."""
        held = set(Reading.objects.filter(photo__in=self.kept).values_list("photo", flat=True))
        for name in self.kept - held:
            readings.path(name).unlink(missing_ok=True)


def refuse_missing(names: Iterable[str]) -> None:
    """Before anything is saved: a reading whose photo is gone from the data folder is named, not ignored."""
    for name in names:
        try:
            readings.path(name)
        except FileNotFoundError:
            reading = Reading.objects.filter(photo=name, reversed_at__isnull=True).earliest("at")
            raise Refused(
                f"The photo {name} of the reading of {reading.at:%Y-%m-%d %H:%M} is missing in the data folder. "
                "Put it back from a backup, or reverse that reading; then save again."
            ) from None


def copy(names: Collection[str], folder: Path) -> None:
    """The photos as they are kept, in the sub-folder. Raises `OSError` where the disk will not take them."""
    if not names:
        return
    (folder / PHOTOS).mkdir()
    for name in names:
        (folder / PHOTOS / name).write_bytes(readings.path(name).read_bytes())
