"""The contract's version; see openapi/CHANGELOG.md."""

CONTRACT_VERSION = "1.0.0"
