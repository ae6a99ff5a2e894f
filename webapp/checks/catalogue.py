"""All families of checks, in the order in which they are shown: importing this fills the registry.

A new family's file is named here.
"""

from webapp.checks import board, heat, melting, mixing, route, service
from webapp.checks.declare import arrange

FAMILIES = (melting, mixing, route, heat, service, board)

arrange([family.__name__ for family in FAMILIES])
