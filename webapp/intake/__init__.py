"""Files from outside become lines: decoding, tables, columns, designators. Knows neither web nor database."""
