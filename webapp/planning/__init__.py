"""Searches on top of the checks: which change would clear a finding. Pure: no web, no database."""
