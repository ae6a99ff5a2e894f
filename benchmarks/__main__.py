"""``make bench``: all measurements."""

from benchmarks import assess, bom

bom.main()
print()
assess.main()
