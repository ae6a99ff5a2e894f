"""All families of checks, in the order in which they are shown: importing this fills the registry.

A new family's file is named here.
"""

from webapp.checks import board, heat, melting, route, service

FAMILIES = (melting, route, heat, service, board)
