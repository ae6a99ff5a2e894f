"""``make bench``: all measurements."""

from benchmarks import bom

bom.main()
