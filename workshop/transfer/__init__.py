"""Plain CSV folders in and out: a whole workshop as files that any spreadsheet opens.

`load` reads a folder, all or nothing; `save` writes one. Everything is written through the services of the two floors
below; nothing here knows a rule of stock or cost.
"""

from workshop.transfer.loading import load

__all__ = ["load"]
