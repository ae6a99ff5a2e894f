"""Tables, sessions and queries. Nothing here decides; the desk does."""
