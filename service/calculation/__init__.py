"""The calculation: pure functions of numbers. Standard library only, no files, no clock, no logging."""
