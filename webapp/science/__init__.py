"""The phenomena, one file each: pure functions on plain numbers and arrays, units in the names."""
