"""Request keys: a form that posts carries one, and the same key never posts twice."""

from __future__ import annotations

from django.db import models


class Request(models.Model):
    """`said` is the SHA-256 of what was sent with the key, in hexadecimal; empty where that is not known."""

    key = models.CharField(max_length=64, primary_key=True)
    made = models.CharField(max_length=40)
    said = models.CharField(max_length=64, blank=True)
    made_pk = models.BigIntegerField(null=True)
    written_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.key
