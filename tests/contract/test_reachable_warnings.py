"""Every warning code is reached by a request that the contract allows, where need be on a catalogue with other numbers."""

import json

import pytest

from service.calculation.warnings import CODES
from service.catalogue.loader import STANDARD, load
from service.contract.decoding import BodyDecoder
from service.contract.fittings import fitting
from service.contract.requests import FittingRequest
from service.contract.shelf import stock

OPENING = {"width_mm": 1180, "height_mm": 1420, "headroom_mm": 310, "depth_mm": 620, "header_thickness_mm": 40}
SLIM = {"slat": "slim"}
LAPPING = {"slat": "stout", "mount": "face"}
FAST = {"road_speed_km_h": 160}
HEAVY = {"mass_kg_per_m = 0.21": "mass_kg_per_m = 3.0"}
BENDING_LESS = {"hinge_limit_deg = 60": "hinge_limit_deg = 45"}


def sent(opening=None, /, shutter=SLIM, **more):
    """A request whose opening differs in some members."""
    return {"opening": {**OPENING, **(opening or {})}, "shutter": shutter, **more}


def surveyed(widths, diagonals, shutter=SLIM):
    """A request with a survey."""
    room = {name: OPENING[name] for name in ("headroom_mm", "depth_mm", "header_thickness_mm")}
    survey = {"widths_mm": widths, "heights_mm": [1420, 1420], "diagonals_mm": diagonals}
    return {"opening": {**room, "survey": survey}, "shutter": shutter}


LAMP = {"name": "lamp", "deep_mm": 40, "high_mm": 40}
STRAINED = {"width_mm": 526, "height_mm": 2887, "headroom_mm": 561, "depth_mm": 490, "plate_offset_mm": 52}
WORN = {"cycles_per_day": 500, "service_years": 50, "temperature_min_c": -50, "temperature_max_c": 90}
ABROAD = {"temperature_min_c": -50, "temperature_max_c": 90}

REQUESTS = {
    "plate_height": sent({"headroom_mm": 180}),
    "plate_depth": sent({"depth_mm": 230}),
    "wheel_above_header": sent({"plate_offset_mm": -28}),
    "track_entry": sent({"height_mm": 301, "headroom_mm": 209, "depth_mm": 280, "plate_offset_mm": -31}, LAPPING),
    "header_gap": sent(),
    "side_gap": sent(),
    "roof_clearance": sent({"height_mm": 2519, "headroom_mm": 232}, LAPPING),
    "wheel_clearance": sent({"height_mm": 697, "headroom_mm": 265, "depth_mm": 336}, LAPPING),
    "rear_clearance": sent({"height_mm": 537, "depth_mm": 286}, LAPPING),
    "header_clearance": sent({"height_mm": 2752, "headroom_mm": 336}, {"slat": "stout", "slat_count": 38}),
    "obstacle_clearance": sent(
        {"obstacles": [{**LAMP, "x_mm": 120, "z_mm": -105, "deep_mm": 540, "high_mm": 95}]}, {**SLIM, "side_plate": "P240"}
    ),
    "curtain_obstacle": sent({"obstacles": [{**LAMP, "x_mm": 62, "z_mm": -700}]}),
    "plate_obstacle": sent({"obstacles": [{**LAMP, "x_mm": 100, "z_mm": 160}]}, {**SLIM, "side_plate": "P240"}),
    "load_gap": sent({"load_gap_mm": 5}),
    "path_over_wheel": sent({"height_mm": 2913, "headroom_mm": 601}, {**LAPPING, "slat_count": 57}),
    "hinge_on_tube": sent(shutter={"slat": "slim", "tube": "T50"}),
    "hinge_on_wheel": sent(),
    "curtain_covers": sent(shutter={"slat": "slim", "slat_count": 45}),
    "slat_width": sent({"width_mm": 1601}),
    "engagement": sent({"width_mm": 2002, "height_mm": 410}, {"slat": "stout"}, duty=ABROAD),
    "held_in_track": sent({"width_mm": 1845, "height_mm": 607}, LAPPING, duty={**FAST, **ABROAD}),
    "slat_yield": sent({"width_mm": 2560, "height_mm": 403, "headroom_mm": 671}, LAPPING, duty=FAST),
    "spring_made": sent({"width_mm": 300, "height_mm": 1900}),
    "opening_taper": surveyed([1180, 1184], [1847, 1847]),
    "opening_square": surveyed([1180, 1180], [1850, 1842]),
    "track_lap": surveyed([1180, 1210], [1847, 1847], {**SLIM, "mount": "face"}),
    "seal_reach": sent(),
    "slat_stress": sent({"width_mm": 2300, "headroom_mm": 420}, LAPPING, duty=FAST),
    "slat_bow": sent({"width_mm": 1452, "height_mm": 660, "headroom_mm": 500}, {"slat": "stout"}, duty=FAST),
    "engagement_bowed": sent({"width_mm": 2540, "headroom_mm": 420}, LAPPING, duty=FAST),
    "tube_sag": sent({"width_mm": 2558, "height_mm": 2316, "headroom_mm": 453}, {"slat": "slim", "mount": "face"}),
    "spring_stress": sent(STRAINED, {"slat": "stout"}, duty=WORN),
    "spring_fatigue": sent({"width_mm": 300, "height_mm": 1900}, duty={"cycles_per_day": 500}),
    "spring_length": sent({"width_mm": 300, "height_mm": 1900}),
    "spring_bore": sent({"width_mm": 500, "height_mm": 400, "headroom_mm": 400}, {"slat": "slim", "tube": "T50"}),
    "hand_force": sent(duty={"hand_force_limit_n": 10}),
    "holds_open": sent(STRAINED, {"slat": "stout"}, duty=WORN),
    "voltage_drop": sent({"height_mm": 2900}, options=["strip_light"], duty={"cable_run_m": 50, "supply_v": 9}),
    "pull_strap_reach": sent({"sill_above_ground_mm": 2500}, options=["pull_strap"]),
    "diagonals_inconsistent": surveyed([1180, 1180], [1860, 1860]),
    "measured_coil_differs": sent(shutter={"slat": "slim", "measured_coil_radius_mm": 90}),
    "coil_hangs_into_opening": sent({"height_mm": 1449, "plate_offset_mm": -39}, {**LAPPING, "slat_count": 60}),
    "thick_coil": sent({"height_mm": 594, "headroom_mm": 497, "depth_mm": 502, "plate_offset_mm": 65}),
    "starts_by_itself": sent(),
    "sinks_by_itself": sent(),
}
"""A request for every warning code."""

OTHER_NUMBERS = {
    "header_gap": {"header_gap_min_mm = 3": "header_gap_min_mm = 20"},
    "side_gap": {"side_gap_min_mm = 2": "side_gap_min_mm = 10"},
    "seal_reach": {"reach_max_mm = 18": "reach_max_mm = 15", "reach_min_mm = 16": "reach_min_mm = 17"},
    "hinge_on_tube": BENDING_LESS,
    "hinge_on_wheel": BENDING_LESS,
    "spring_bore": {
        **HEAVY,
        "wires_mm = [3, 3.5, 4, 4.5, 5, 6]": "wires_mm = [3]",
        "shaft_diameter_mm = 12": "shaft_diameter_mm = 30",
        "end_fittings_mm = 90": "end_fittings_mm = 240",
    },
    "voltage_drop": {"strip_light_w_per_m = 7.2": "strip_light_w_per_m = 30"},
}
"""What the standard catalogue would have to say otherwise, by code."""


@pytest.mark.parametrize("code", CODES)
def test_a_request_reaches_every_code(code, tmp_path):
    text = STANDARD.read_text()
    for ours, other in OTHER_NUMBERS.get(code, {}).items():
        assert ours in text
        text = text.replace(ours, other)
    catalogue = tmp_path / "catalogue.toml"
    catalogue.write_text(text)
    request = BodyDecoder(FittingRequest).decode(json.dumps(REQUESTS[code]).encode())
    answered = json.loads(bytes(fitting(request, stock(load(catalogue)))))
    assert code in {one["code"] for one in answered["warnings"]}
