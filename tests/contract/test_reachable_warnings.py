"""Every warning code is reached by a request that the contract allows, where need be on a catalogue with other numbers."""

import json
from collections.abc import Mapping
from pathlib import Path

import pytest

from service.calculation.warnings import WARNING_KINDS
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


def sent(opening: Mapping[str, object] | None = None, /, shutter: Mapping[str, object] = SLIM, **more: object) -> object:
    """A request whose opening differs in some members."""
    return {"opening": {**OPENING, **(opening or {})}, "shutter": shutter, **more}


def surveyed(widths: list[float], diagonals: list[float]) -> object:
    """A request with a survey."""
    room = {name: OPENING[name] for name in ("headroom_mm", "depth_mm", "header_thickness_mm")}
    survey = {"widths_mm": widths, "heights_mm": [1420, 1420], "diagonals_mm": diagonals}
    return {"opening": {**room, "survey": survey}, "shutter": SLIM}


REQUESTS = {
    "plate_height": sent({"headroom_mm": 180}),
    "plate_depth": sent({"depth_mm": 230}),
    "wheel_above_header": sent({"plate_offset_mm": -75}),
    "track_entry": sent({"plate_offset_mm": -60}, LAPPING),
    "roof_clearance": sent({"height_mm": 2519, "headroom_mm": 232}, LAPPING),
    "wheel_clearance": sent({"height_mm": 2090, "headroom_mm": 630}),
    "rear_clearance": sent({"height_mm": 537, "depth_mm": 286}, LAPPING),
    "header_clearance": sent({"height_mm": 2951, "headroom_mm": 468}, {**LAPPING, "slat_count": 38}),
    "path_over_wheel": sent({"height_mm": 2913, "headroom_mm": 601}, {**LAPPING, "slat_count": 57}),
    "hinge_on_tube": sent(shutter={"slat": "slim", "tube": "T50"}),
    "hinge_on_wheel": sent(),
    "curtain_covers": sent(shutter={"slat": "slim", "slat_count": 45}),
    "slat_width": sent({"width_mm": 1601}),
    "engagement": sent({"width_mm": 1590}, duty={"temperature_min_c": -50, "temperature_max_c": 90}),
    "opening_taper": surveyed([1180, 1184], [1847, 1847]),
    "opening_square": surveyed([1180, 1180], [1850, 1842]),
    "slat_stress": sent({"width_mm": 2300, "headroom_mm": 420}, LAPPING, duty=FAST),
    "engagement_bowed": sent({"width_mm": 2540, "headroom_mm": 420}, LAPPING, duty=FAST),
    "tube_sag": sent({"width_mm": 2558, "height_mm": 2316, "headroom_mm": 453}, {"slat": "slim", "mount": "face"}),
    "spring_stress": sent(
        {"width_mm": 327, "height_mm": 1992, "headroom_mm": 678}, {**LAPPING, "slat": "slim", "slat_count": 98}
    ),
    "spring_length": sent({"width_mm": 300, "height_mm": 1900}),
    "spring_bore": sent({"width_mm": 500, "height_mm": 400, "headroom_mm": 400}, {"slat": "slim", "tube": "T50"}),
    "hand_force": sent(duty={"hand_force_limit_n": 10}),
    "holds_open": sent({"width_mm": 1500, "height_mm": 250, "headroom_mm": 400}, {"slat": "slim", "tube": "T70"}),
    "voltage_drop": sent({"height_mm": 2900}, options=["strip_light"], duty={"cable_run_m": 50, "supply_v": 9}),
    "diagonals_inconsistent": surveyed([1180, 1180], [1860, 1860]),
    "measured_coil_differs": sent(shutter={"slat": "slim", "measured_coil_radius_mm": 90}),
    "coil_hangs_into_opening": sent({"height_mm": 1449, "plate_offset_mm": -39}, {**LAPPING, "slat_count": 60}),
    "thick_coil": sent({"height_mm": 718, "headroom_mm": 217}, LAPPING),
    "no_spring_fits": sent({"width_mm": 300, "height_mm": 1900}),
    "starts_by_itself": sent(),
}
"""A request for every warning code."""

OTHER_NUMBERS = {
    "hinge_on_tube": BENDING_LESS,
    "hinge_on_wheel": BENDING_LESS,
    "spring_bore": {
        **HEAVY,
        "wires_mm = [3, 3.5, 4, 4.5, 5, 6]": "wires_mm = [3, 5]",
        "shaft_diameter_mm = 12": "shaft_diameter_mm = 28",
        "end_fittings_mm = 90": "end_fittings_mm = 200",
    },
    "holds_open": {
        **HEAVY,
        "wires_mm = [3, 3.5, 4, 4.5, 5, 6]": "wires_mm = [3]",
        "shaft_diameter_mm = 12": "shaft_diameter_mm = 24",
    },
    "voltage_drop": {"strip_light_w_per_m = 7.2": "strip_light_w_per_m = 30"},
}
"""What the standard catalogue would have to say otherwise, by code."""


@pytest.mark.parametrize("code", WARNING_KINDS)
def test_a_request_reaches_every_code(code: str, tmp_path: Path) -> None:
    text = STANDARD.read_text()
    for ours, other in OTHER_NUMBERS.get(code, {}).items():
        assert ours in text
        text = text.replace(ours, other)
    catalogue = tmp_path / "catalogue.toml"
    catalogue.write_text(text)
    request = BodyDecoder(FittingRequest).decode(json.dumps(REQUESTS[code]).encode())
    answered = fitting(request, stock(load(catalogue)))
    assert code in {one.code for one in answered.warnings}
