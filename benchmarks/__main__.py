"""``make bench``: all measurements."""

from benchmarks import assess, bom, melting, pages

bom.main()
print()
assess.main()
print()
melting.main()
print()
pages.main()
