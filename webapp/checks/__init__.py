"""The assessment: checks as declarations over columns, verdicts at the best and the worst that is possible, findings.

Knows neither web nor database: usable from a notebook.
"""
