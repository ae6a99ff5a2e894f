"""One module a screen, each with a ``router``; its templates stand in ``templates/<screen>/``."""
