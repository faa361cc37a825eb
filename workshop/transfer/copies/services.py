"""Making a copy, looking at one, and the daily one. Nothing is kept as a copy before it was read back and found good."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from django.conf import settings
from django.utils import timezone

from inventory.errors import Refused
from inventory.permits import Act, Person, require
from workshop.transfer import aside
from workshop.transfer.copies import archive, databases, rules, shelf


def make(*, target: Path | None = None, by: Person = None) -> shelf.Kept:
    """One copy of everything, while people write. Without a target it lies in the folder of copies, and old ones there go by age.

    `target` is a file that is not there yet, or a folder. Refused where it cannot be written or is no good when it is read back.
    """
    require(by, Act.SETUP)
    made = timezone.now()
    file = _place(target, made)
    with aside.one_at_a_time(Path(settings.DATA_DIR) / ".copying") as mine:
        if not mine:
            raise Refused("A copy is being made just now. Wait a moment and look again.")
        _write(file, made)
    shelf.note_good(file, made)
    if target is None:
        shelf.forget_old()
    return shelf.Kept(file, made, file.stat().st_size, timezone.now())


def make_daily() -> shelf.Kept | None:
    """A copy where there is none of this day yet; None where there is."""
    newest = shelf.newest()
    if newest and timezone.localdate(newest.made) == timezone.localdate():
        return None
    return make()


def verify(file: Path, *, by: Person = None) -> archive.Manifest:
    """Unpack a copy into a place of its own, bring it up to the program, work out its books. Refuses in words what is not good."""
    require(by, Act.SETUP)
    with TemporaryDirectory(prefix="tawery-verify-") as name, archive.opened(file) as copy:
        folder, manifest = Path(name), copy.manifest
        copy.unpack(folder)
        database = folder / manifest.database
        databases.look_at(database, manifest.rows)
        if manifest.database == archive.SQLITE:
            databases.prove(folder)
        elif databases.kind() == archive.POSTGRESQL:
            with databases.beside(database, rules.stamp(timezone.now()), manifest.rows) as tried:
                try:
                    databases.prove(folder, tried)
                finally:
                    databases.drop(tried)
    shelf.note_good(file.resolve(), manifest.made)
    return manifest


def say_elsewhere(*, by: Person = None) -> None:
    """The maker says that the newest copy lies on another disk too."""
    require(by, Act.SETUP)
    newest = shelf.newest()
    if newest is None:
        raise Refused("There is no copy yet. Make one first.")
    shelf.note_away(newest.made)


def _place(target: Path | None, made: datetime) -> Path:
    if target is None:
        folder = shelf.folder()
        try:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        except OSError as fault:
            raise Refused(
                f"The folder of copies {folder} cannot be made: {fault.strerror}. Name another in TAWERY_COPIES."
            ) from None
        file = folder / rules.name(made)
    else:
        file = target / rules.name(made) if target.is_dir() else target
    if not file.parent.is_dir():
        raise Refused(f"There is no folder {file.parent}. Make it first, or name another place.")
    if file.exists():
        raise Refused(f"{file} is there already, and nothing is overwritten. Name another file, or a folder.")
    return file.resolve()


def _write(file: Path, made: datetime) -> None:
    """The database first: a photo is kept before the record that names it, so none that it names is missing."""
    try:
        with TemporaryDirectory(prefix=".copying-", dir=file.parent) as name:
            database = Path(name) / databases.kind()
            rows = databases.take(database)
            archive.write(file, [(database.name, database), *_rest()], made=made, rows=rows)
            _read_back(file, Path(name))
    except OSError as fault:
        raise Refused(
            f"The copy {file} cannot be written: {fault.strerror}. Free some room or name another place."
        ) from None


def _read_back(file: Path, scratch: Path) -> None:
    """A copy that cannot be read is none, and must not stand where one is looked for."""
    try:
        with archive.opened(file) as copy:
            copy.look()
            databases.look_at(scratch / copy.manifest.database, copy.manifest.rows)
    except BaseException:
        file.unlink(missing_ok=True)
        raise


def _rest() -> Iterator[tuple[str, Path]]:
    """The key, the photos, the bills. What else lies in their folders is not the workshop's."""
    folder = Path(settings.DATA_DIR)
    there = [folder / archive.KEY, *(path for store in archive.STORES for path in sorted((folder / store).glob("*")))]
    for path in there:
        name = path.relative_to(folder).as_posix()
        if archive.belongs(name) and path.is_file():
            yield name, path
