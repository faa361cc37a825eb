"""Sessions: a timer whose start is kept here, so that a sleeping phone, a restart or a second device loses no minute."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from costing.make.batches.models import Batch
from costing.make.labour.models import LabourLine
from costing.make.recipes.models import TaskKind
from inventory.models import Skin


class WorkSession(models.Model):
    """`key` is the request key of its start: a phone that started it without a signal knows it by nothing else.

    Stopping writes the labour line. `dropped_at`: started by mistake, nothing was counted.
    """

    key = models.CharField(max_length=64, unique=True)
    who = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="sessions"
    )
    task = models.CharField(max_length=80)
    kind = models.CharField(max_length=6, choices=TaskKind.choices, default=TaskKind.OTHER)
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, null=True, blank=True, related_name="sessions")
    started_at = models.DateTimeField()
    stopped_at = models.DateTimeField(null=True, blank=True)
    dropped_at = models.DateTimeField(null=True, blank=True)
    labour = models.OneToOneField(LabourLine, on_delete=models.PROTECT, null=True, blank=True, related_name="session")

    class Meta:
        ordering = ["-started_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(stopped_at__isnull=True) | Q(stopped_at__gte=models.F("started_at")),
                name="sitting_stops_after_it_starts",
            ),
            models.CheckConstraint(
                condition=Q(stopped_at__isnull=False, labour__isnull=False, dropped_at__isnull=True)
                | Q(stopped_at__isnull=True, labour__isnull=True),
                name="sitting_stopped_has_minutes",
            ),
            models.UniqueConstraint(
                fields=["who"],
                condition=Q(stopped_at__isnull=True, dropped_at__isnull=True),
                name="person_has_one_timer",
            ),
            models.CheckConstraint(condition=Q(kind__in=TaskKind.values), name="sitting_kind_known"),
        ]

    def __str__(self) -> str:
        return f"{self.task} from {self.started_at:%Y-%m-%d %H:%M}"

    @property
    def runs(self) -> bool:
        return self.stopped_at is None and self.dropped_at is None


class SessionSkin(models.Model):
    """A skin under a session's hands. `running` falls with the session, so that the database holds one timer to a skin."""

    session = models.ForeignKey(WorkSession, on_delete=models.CASCADE, related_name="at_hand")
    skin = models.ForeignKey(Skin, on_delete=models.PROTECT, related_name="at_sessions")
    running = models.BooleanField(default=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["session", "skin"], name="sitting_names_a_skin_once"),
            models.UniqueConstraint(fields=["skin"], condition=Q(running=True), name="skin_has_one_timer"),
        ]

    def __str__(self) -> str:
        return f"{self.skin_id} in {self.session_id}"
