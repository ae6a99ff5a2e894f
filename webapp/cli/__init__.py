"""The commands of ``python -m webapp``."""
