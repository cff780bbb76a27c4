"""SHA-256 of what was asked and answered.

@techreport{fips180, institution = {NIST}, title = {FIPS 180-4, Secure Hash Standard},
  note = {example values: the empty message and the message "abc"; from memory}}
"""

import pytest

from service.audit.digest import sha256_hex


@pytest.mark.parametrize(
    ("content", "digest"),
    [
        # published, from memory: the standard's examples; exact
        (b"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
        (b"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
    ],
)
def test_digest(content, digest):
    assert sha256_hex(content) == digest
