"""The HTTP contract: wire types, conversion to and from the core, the table of operations, the generated document."""
