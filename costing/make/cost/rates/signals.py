"""What rates say without knowing who hears it."""

from django.dispatch import Signal

# The maker's hours in a frame are reckoned at the rates of their day. Costs listen, because rates know nothing of them.
changed = Signal()
