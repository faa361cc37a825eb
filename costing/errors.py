"""Refusals of the upper floor; see `inventory.errors` for the base."""

from __future__ import annotations
