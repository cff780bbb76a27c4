"""What was calculated, by which rule, from which numbers: rule metadata, trace, replay, digest. Standard library only."""
