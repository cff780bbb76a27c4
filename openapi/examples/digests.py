"""Recomputes both digests of stored answers, whole or short, by the rule in the contract. Needs `pip install rfc8785`.

Usage: python digests.py ANSWER.json ...
"""

import hashlib
import json
import sys
from pathlib import Path

import rfc8785


def sha256(content):
    """SHA-256 of the RFC 8785 form."""
    return hashlib.sha256(rfc8785.dumps(content)).hexdigest()


def digest_of_result(answer):
    """The digest of an answer's figures."""
    figures = {name: answer[name] for name in answer if name not in {"audit", "words", "geometry", "candidates", "cures"}}
    figures["balance"] = {name: answer["balance"][name] for name in answer["balance"] if name != "curve"}
    return sha256(figures)


for path in sys.argv[1:]:
    answer = json.loads(Path(path).read_bytes())
    audit = answer["audit"]
    of_request = "request" not in audit or sha256(audit["request"]) == audit["request_sha256"]  # a short answer has none
    of_result = digest_of_result(answer) == audit["result_sha256"]
    print(f"{path}: request {'as stored' if of_request else 'ALTERED'}, result {'as stored' if of_result else 'ALTERED'}")
