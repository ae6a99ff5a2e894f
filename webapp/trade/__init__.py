"""The vocabulary of the trade: frozen dataclasses without behaviour of web, database or files."""
