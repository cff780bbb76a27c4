"""Digests of what was asked, answered and read."""

from hashlib import sha256


def sha256_hex(content: bytes) -> str:
    """SHA-256 of the bytes as 64 lower-case hexadecimal digits (FIPS 180-4)."""
    return sha256(content).hexdigest()
