"""Answers to many openings as the service on the path gives them; run by a test with the plain and with the compiled core.

Prints a JSON object: the file the core was loaded from, its rules, and what each answer is, in full, as a digest.
"""

import json
import random
import sys
from hashlib import sha256
from math import hypot

import msgspec

from service.calculation import fitting as core
from service.catalogue.loader import STANDARD, load
from service.contract.explore import find_limits, rank_alternatives
from service.contract.fittings import encode, fitting
from service.contract.problems import Refusal
from service.contract.requests import FittingRequest
from service.contract.rule_list import rules
from service.contract.shelf import stock

OPTIONS = ("perimeter_seal", "drip_rail", "pull_strap", "inside_release", "door_switch", "electric_lock", "strip_light")
INCLUDE = frozenset({"trace", "geometry", "balance_curve", "candidates"})
COUNT = 300


def requests(chance):
    """Openings from cramped to roomy, with everything a request may say."""
    for number in range(COUNT):
        tight = number % 2

        def mm(low, high):
            return round(chance.uniform(low, high), 2)

        opening = {
            "width_mm": mm(500, 1500) if tight else mm(250, 3000),
            "height_mm": mm(500, 2200) if tight else mm(250, 3000),
            "headroom_mm": mm(200, 420) if tight else mm(60, 1500),
            "depth_mm": mm(280, 900) if tight else mm(60, 3000),
            "header_thickness_mm": mm(0, 80),
            "plate_offset_mm": chance.choice([0, 0, -10, 15.5]),
            "wall_gap_left_mm": chance.choice([0, 12]),
            "body": chance.choice(["steel", "aluminium", "composite"]),
            "sill_above_ground_mm": mm(300, 1800),
            "load_gap_mm": mm(5, 100),
        }
        shutter = {
            "slat": chance.choice(["slim", "stout"]),
            "mount": chance.choice(["reveal", "face"]),
            "fitted_from": chance.choice(["outside", "inside"]),
        }
        if number % 5 == 0:
            shutter["slat_count"] = chance.randint(1, 120)
        if number % 7 == 0:
            shutter["measured_coil_radius_mm"] = mm(40, 200)
        if number % 10 == 9:
            lamp = {"name": "lamp", "x_mm": mm(60, 400), "z_mm": mm(-200, 100), "deep_mm": mm(20, 90), "high_mm": mm(20, 90)}
            opening["obstacles"] = [lamp]
        if number % 11 == 0:
            width, height = opening.pop("width_mm"), opening.pop("height_mm")
            opening["survey"] = {
                "widths_mm": [width, min(width + 3, 3000)],
                "heights_mm": [height, min(height + 3, 3000)],
                "diagonals_mm": [round(hypot(width, height) + off, 1) for off in (0, mm(0, 9))],
            }
        request = {
            "reference": f"bay {number}",
            "opening": opening,
            "shutter": shutter,
            "options": chance.sample(OPTIONS, chance.randint(0, 7)),
            "duty": {"road_speed_km_h": mm(0, 160), "hand_force_limit_n": mm(20, 200), "supply_v": chance.choice([12, 24])},
        }
        yield msgspec.convert(request, FittingRequest)


def main():
    """Calculate and print."""
    shelf, digests = stock(load(STANDARD)), []
    for number, request in enumerate(requests(random.Random(7))):  # noqa: S311 - no secret
        try:
            language = ("en", "de", "fr")[number % 3]
            include = INCLUDE | ({"cures"} if number % 10 == 5 else frozenset())
            answers = [encode(fitting(request, shelf, include=include, language=language))]
            if number % 30 == 0:
                answers += [encode(rank_alternatives(request, shelf)), encode(find_limits(request, shelf))]
        except Refusal as refusal:
            answers = [repr(refusal.faults).encode()]
        digests += [sha256(one).hexdigest() for one in answers]
    json.dump({"core": core.__file__, "rules": encode(rules()).decode(), "digests": digests}, sys.stdout)


if __name__ == "__main__":
    main()
