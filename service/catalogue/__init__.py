"""The catalogue: slats, tubes, side plates, mounts and hardware, read from a TOML file and checked before use."""
