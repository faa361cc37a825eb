"""Passkeys: keys that a person's own devices hold. Of each only the public half is kept here, and that opens nothing."""

from django.conf import settings
from django.db import models

# A credential's name has 1023 bytes at most (Web Authentication, section 4), a third more as base64url.
LONGEST_CREDENTIAL = 1364
# Room for the longest RSA key that a browser accepts; those of curves have a hundred signs.
LONGEST_KEY = 3000


class Passkey(models.Model):
    """One passkey of a person. `site`: the host it was made at, and the only one at which it opens. `handle`: by what the device
    knows the person; it is drawn by lot and says nothing of them. `sign_count`: how often the device says it was used."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="passkeys")
    name = models.CharField(max_length=40)
    site = models.CharField(max_length=253)
    credential = models.CharField(max_length=LONGEST_CREDENTIAL, unique=True)
    public_key = models.CharField(max_length=LONGEST_KEY)
    handle = models.CharField(max_length=64)
    sign_count = models.PositiveBigIntegerField(default=0)
    made_at = models.DateTimeField(auto_now_add=True)
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["made_at", "pk"]
        constraints = [models.CheckConstraint(condition=~models.Q(name=""), name="passkey_named")]

    def __str__(self) -> str:
        return self.name
