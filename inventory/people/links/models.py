"""Links that sign a person in once. Only the digest of a link is kept: a copy of the data opens no door."""

from django.conf import settings
from django.db import models


class Door(models.TextChoices):
    """Where a link opens; at the other it opens nothing."""

    LINK = "link", "Link given to a person"
    PHONE = "phone", "Code for one's own phone"


class SignInLink(models.Model):
    """One link of a person, good until `ends_at` or until it is used. `made_by`: nobody stands for the owner's command."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="sign_in_links")
    door = models.CharField(max_length=5, choices=Door.choices)
    digest = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    made_at = models.DateTimeField(auto_now_add=True)
    ends_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.get_door_display()} of {self.person}"
