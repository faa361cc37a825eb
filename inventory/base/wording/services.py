"""Writing the maker's own words on papers, and ticking a translation as checked.

Must not know which phrases there are: the floor above, which has the papers, checks what may be said.
"""

from datetime import datetime

from django.utils import timezone

from inventory.base import checks
from inventory.base.languages import ENGLISH, known
from inventory.base.services import service
from inventory.base.wording.models import LONGEST, CheckedLanguage, Phrase
from inventory.errors import Refused
from inventory.permits import Act, Person, author


@service(Act.SETUP)
def write(*, language: str, key: str, text: str, by: Person = None) -> Phrase | None:
    """Say a phrase in the maker's own words; an empty text gives back what came with the program."""
    language = known(language)
    text = checks.text(text, "The phrase", field="text", longest=LONGEST)
    if not text:
        Phrase.objects.filter(language=language, key=key).delete()
        return None
    row, _ = Phrase.objects.update_or_create(
        language=language, key=key, defaults={"text": text, "written_by": author(by)}
    )
    return row


@service(Act.SETUP)
def tick(*, language: str, by: Person = None) -> CheckedLanguage:
    """Keep that a translation was read and found right, by whom and when; ticked again it stays as it was."""
    person = author(by)
    return _tick(language, timezone.now(), person.get_username() if person else "")


@service(Act.SETUP)
def untick(*, language: str, by: Person = None) -> None:
    """The translation counts as unchecked again."""
    CheckedLanguage.objects.filter(language=known(language)).delete()


@service(Act.SETUP)
def bring_tick(*, language: str, at: datetime, who: str, by: Person = None) -> CheckedLanguage:
    """A translation that was checked before it came here (a folder that is loaded)."""
    return _tick(language, at, checks.text(who, "The name", field="who", longest=150))


def _tick(language: str, at: datetime, who: str) -> CheckedLanguage:
    if known(language) == ENGLISH:
        raise Refused("English came whole; only a translation is checked.", field="language")
    row, _ = CheckedLanguage.objects.get_or_create(language=language, defaults={"at": at, "who": who})
    return row
