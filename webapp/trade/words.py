"""Small things of writing sentences."""


def capital(text: str) -> str:
    """With a capital at its beginning; the rest as it is."""
    return text[:1].upper() + text[1:]
