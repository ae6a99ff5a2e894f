"""Measurements outside the test suite: ratios, never limits."""
