"""Screens: pages, forms and the middleware before them."""
