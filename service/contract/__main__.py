"""Writes `openapi/`: the contract, and each example's request and answer. Run it from the project's top folder."""

import json
from pathlib import Path
from typing import Any

import msgspec

from service.catalogue.loader import STANDARD, load
from service.contract.decoding import BodyDecoder
from service.contract.examples import FITTINGS
from service.contract.fittings import encode, fitting
from service.contract.openapi import document
from service.contract.requests import FittingRequest
from service.contract.shelf import stock


def files() -> dict[str, bytes]:
    """Every generated file by its path under `openapi/`."""
    shelf, decoder = stock(load(STANDARD)), BodyDecoder(FittingRequest)
    made = {"openapi.json": _pretty(document())}
    for name, example in FITTINGS.items():
        answer = encode(fitting(decoder.decode(msgspec.json.encode(example.request)), shelf))
        made[f"examples/{name}.request.json"] = _pretty(example.request)
        made[f"examples/{name}.answer.json"] = _pretty(json.loads(answer))
    return made


def _pretty(content: Any) -> bytes:
    return json.dumps(content, indent=2, ensure_ascii=False).encode() + b"\n"


if __name__ == "__main__":
    for path, content in files().items():
        (Path("openapi") / path).write_bytes(content)
