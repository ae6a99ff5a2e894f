"""``make bench``: all measurements."""

from benchmarks import assess, bom, melting, portfolio

bom.main()
print()
assess.main()
print()
melting.main()
print()
portfolio.main()
