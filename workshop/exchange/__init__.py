"""Plain CSV folders in and out: a whole workshop as files that any spreadsheet opens.

`loading.load` reads a folder, all or nothing; `saving.save` writes one. Everything is written through the services of the
two floors below; nothing here knows a rule of stock or cost.
"""
