"""Writing the words of papers: checked against the phrases that papers have, then kept."""

from inventory.base.services import service
from inventory.base.wording import services as wording
from inventory.base.wording.models import Phrase
from inventory.permits import Act, Person
from workshop.documents.words import editing


@service(Act.SETUP)
def change(*, language: str, key: str, text: str, by: Person = None) -> Phrase | None:
    """Say a phrase otherwise; an empty text, or the text that came with the program, gives that back."""
    text = editing.chosen(language, key, text)
    return wording.write(language=language, key=key, text=text, by=by)
