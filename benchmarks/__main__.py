"""``make bench``: all measurements."""

from benchmarks import assess, bom, melting

bom.main()
print()
assess.main()
print()
melting.main()
