"""What was calculated, by which rule, from which numbers: rule metadata, recorder, replay, digest. Standard library only."""
