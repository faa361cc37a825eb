"""The maker's own words on papers, and the translations that somebody has read and found right."""

from django.db import models
from django.db.models import Q

from inventory.base.languages import LANGUAGES, TRANSLATIONS
from inventory.base.models import Written

LONGEST = 2000


class Phrase(Written):
    """What a paper says in one language at `key` ("invoice.due_date"), in place of what came with the program."""

    language = models.CharField(max_length=2)
    key = models.CharField(max_length=80)
    text = models.CharField(max_length=LONGEST)

    class Meta:
        ordering = ["language", "key"]
        constraints = [
            models.UniqueConstraint(fields=["language", "key"], name="phrase_said_once"),
            models.CheckConstraint(condition=Q(language__in=list(LANGUAGES)), name="phrase_language_known"),
            models.CheckConstraint(condition=~Q(key="") & ~Q(text=""), name="phrase_says_something"),
        ]

    def __str__(self) -> str:
        return f"{self.key} in {self.language}"


class CheckedLanguage(models.Model):
    """A translation that `who` has read and found right. `who` is the sign-in name as it was then, nobody for the owner's
    commands: it outlives the person's account and goes with a folder.
    """

    language = models.CharField(max_length=2, unique=True)
    at = models.DateTimeField()
    who = models.CharField(max_length=150, blank=True)

    class Meta:
        ordering = ["language"]
        constraints = [
            models.CheckConstraint(
                condition=Q(language__in=list(TRANSLATIONS)), name="checked_language_is_a_translation"
            )
        ]

    def __str__(self) -> str:
        return self.language
