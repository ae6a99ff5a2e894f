"""Meltline: plan the conversion of soldered products from tin-silver-copper to low-temperature tin-bismuth.

The layers, from the outside in, are web | cli, desk, intake | store, trade, errors, settings | resources;
DEVELOPERS.md describes them and import-linter enforces them.
"""

__version__ = "0.1.0"
