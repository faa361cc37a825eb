"""How near the program comes to the bare limit of the machine, both measured in one run: `python -m tests.benchmarks [--smoke]`.

A time says something of the machine; a ratio says something of the program. Nothing here asserts a time.
"""
