"""Private links to the calendar of what is due. Only the digest of a link is kept: a copy of the data opens none."""

from django.conf import settings
from django.db import models


class CalendarLink(models.Model):
    """A link for one device. `name` says which; ended links stay to say when they were."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="calendar_links")
    name = models.CharField(max_length=40)
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(auto_now_add=True)
    read_on = models.DateField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return self.name
