"""The whole program killed at any moment, hundreds of times: `python -m tests.kills [--times N]`.

What was acknowledged is found; `load`, `save`, `backup`, `restore`, a first start and a migration leave the old or the new.
"""
