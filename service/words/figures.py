"""The figures of a fitting as people read them, each written once; the places of texts are called as they are.

Left out are those of one finding, one part of several or one packing: they stand with its text.
"""

from math import sqrt

from service.calculation import care, parts, survey
from service.calculation.constants import HALF_TURN
from service.calculation.fitting import Calculated
from service.calculation.job import Opening
from service.calculation.wiring import Wiring

from .numbers import AS_GIVEN, TENTHS, WHOLE, Numbers


def figures_of(calculated: Calculated, numbers: Numbers) -> dict[str, bytes]:
    """The figures by their names, in UTF-8; of what a fitting does not have there are none."""
    answer, job = calculated.answer, calculated.job
    made, tracks, seals, lifting = answer.curtain, answer.tracks, answer.seals, answer.lifting
    bracket, wheel, balance, daylight = answer.bracket, answer.wheel, answer.balance, answer.daylight
    opening, mount, plate, bar, running = job.opening, job.mount, job.hardware.plate, job.hardware.bar, job.hardware.running
    months = care.inspection_months(cycles_per_day=job.duty.cycles_per_day)
    figures = {
        # the opening
        "width": _measured(numbers, opening.width_mm, () if opening.survey is None else opening.survey.widths_mm),
        "height": _measured(numbers, opening.height_mm, () if opening.survey is None else opening.survey.heights_mm),
        "headroom": numbers.written(opening.headroom_mm, TENTHS),
        "depth": numbers.written(opening.depth_mm, TENTHS),
        "wide": numbers.written(daylight.width_mm, WHOLE),
        "high": numbers.written(daylight.height_mm, WHOLE),
        # curtain and tube
        "slat": made.slat.encode(),
        "slats": numbers.written_count(made.slat_count),
        "slat_length": numbers.written(made.slat_length_mm, TENTHS),
        "tube": made.tube.encode(),
        "tube_length": numbers.written(made.tube_length_mm, TENTHS),
        "mass": numbers.written(made.mass_kg, TENTHS),
        "recommended": numbers.written(lifting.recommended_kg, TENTHS),
        "coil": numbers.written(2 * calculated.trial.radius_checked_mm, TENTHS),
        "strap": numbers.written(running.strap_length_mm, TENTHS),
        "reserve": numbers.written(running.reserve_turns, AS_GIVEN),
        "below": numbers.written(bar.height_mm - calculated.moved.bar_top_open_z_mm, TENTHS),
        # side plates with their holes, where brackets and wheels sit
        "plate": answer.side_plate.id.encode(),
        "setback": numbers.written(mount.plate_setback_mm, TENTHS),
        "offset": numbers.written(abs(opening.plate_offset_mm), TENTHS),
        "base": numbers.written(abs(answer.side_plate.base_z_mm), TENTHS),
        "between": numbers.written(tracks.outer_width_mm - 2 * plate.inset_mm, TENTHS),
        "wheel": numbers.written(plate.wheel_hole_diameter_mm, AS_GIVEN),
        "bracket": numbers.written(plate.bracket_hole_diameter_mm, AS_GIVEN),
        "fixing": numbers.written(plate.fixing_hole_diameter_mm, AS_GIVEN),
        "row": numbers.written_count(bracket.row),
        "column": numbers.written_count(bracket.column),
        "bracket_front": numbers.written(bracket.from_plate_front_mm, TENTHS),
        "bracket_base": numbers.written(bracket.from_plate_base_mm, TENTHS),
        "roof": numbers.written(abs(bracket.below_roof_mm), TENTHS),
        "wheel_front": numbers.written(wheel.from_plate_front_mm, TENTHS),
        "wheel_base": numbers.written(wheel.from_plate_base_mm, TENTHS),
        # tracks and strikers
        "track_length": numbers.written(tracks.length_mm, TENTHS),
        "outer": numbers.written(tracks.outer_width_mm, TENTHS),
        "lips": numbers.written(tracks.lips_mm, TENTHS),
        "plane": numbers.written(calculated.trial.position.curtain_plane_x_mm, TENTHS),
        "needed": numbers.written(depth_to_stand_tracks_mm(calculated), WHOLE),
        "spacing": numbers.written(parts.SCREW_SPACING_MM, TENTHS),
        "striker": numbers.written(answer.striker.height_above_sill_mm, TENTHS),
        # seals
        "jamb_seal": numbers.written(answer.opening.jamb_height_mm, TENTHS),
        "header_seal": numbers.written(answer.opening.header_width_mm, TENTHS),
        "seal": seals.top_profile.encode(),
        "cut": numbers.written(seals.top_cut_length_mm, TENTHS),
        "short": numbers.written(seals.top_short_edge_mm, TENTHS),
        "angle": numbers.written(seals.top_end_angle_deg, TENTHS),
        "gap": numbers.written(seals.top_gap_mm, TENTHS),
        "free": numbers.written(bar.seal_free_mm, TENTHS),
        "pressed": numbers.written(seals.bottom_compressed_mm, TENTHS),
        # springs
        "wire": numbers.written(balance.wire_mm, AS_GIVEN),
        "diameter": numbers.written(balance.mean_diameter_mm, TENTHS),
        "coils": numbers.written_count(balance.coils),
        "open": numbers.written(balance.pretension_turns, TENTHS),
        "closed": numbers.written(balance.turns_closed, TENTHS),
        "half_turns": numbers.written(balance.pretension_turns / HALF_TURN, WHOLE),
        "energy_open": numbers.written(balance.energy_open_j, WHOLE),
        "energy_closed": numbers.written(balance.energy_closed_j, WHOLE),
        "force": numbers.written(balance.hand_force_max_n, WHOLE),
        "rising": numbers.written_force(-balance.hand_force_closed_n),
        # care
        "months": numbers.written_count(months),
        "cycles": numbers.written(balance.cycles, WHOLE),
    }
    if answer.opening.lap_mm is not None and opening.survey is not None:
        left_mm, right_mm = survey.laps_mm(opening.survey, track_beyond_mm=mount.track_beyond_mm)
        figures["laps_left"], figures["laps_right"] = _readings(numbers, left_mm), _readings(numbers, right_mm)
    if answer.drip_rail is not None:
        figures["rail"] = numbers.written(answer.drip_rail.length_mm, TENTHS)
    if answer.pull_strap is not None:
        figures["pull_strap"] = numbers.written(answer.pull_strap.length_mm, TENTHS)
    if answer.wiring is not None:
        _add_wiring(figures, answer.wiring, job.duty.cable_run_m, numbers)
    _add_packers(figures, opening, numbers)
    return figures


def _measured(numbers: Numbers, value_mm: float, readings_mm: tuple[float, ...]) -> bytes:
    """A size of the opening as a tape finds it: each of its readings where there are several."""
    return _readings(numbers, list(readings_mm)) if readings_mm else numbers.written(value_mm, TENTHS)


def _readings(numbers: Numbers, readings_mm: list[float]) -> bytes:
    """Readings one after the other."""
    return b" / ".join([numbers.written(one, TENTHS) for one in readings_mm])


def _add_wiring(figures: dict[str, bytes], wiring: Wiring, cable_run_m: float, numbers: Numbers) -> None:
    """Add the figures of what is wired."""
    figures["area"] = numbers.written(wiring.conductor_mm2, AS_GIVEN)
    figures["fuse"] = numbers.written(wiring.fuse_a, AS_GIVEN)
    figures["current"] = numbers.written(wiring.current_a, TENTHS)
    figures["run"] = numbers.written(cable_run_m, AS_GIVEN)
    figures["drop"] = numbers.written_volts(wiring.voltage_drop_v)


def _add_packers(figures: dict[str, bytes], opening: Opening, numbers: Numbers) -> None:
    """Add the figures of packers behind side plates."""
    left_mm, right_mm = opening.wall_gap_left_mm, opening.wall_gap_right_mm
    if left_mm > 0:
        figures["gap_left"] = numbers.written(left_mm, TENTHS)
        figures["packer_left"] = numbers.written(parts.packer_thickness_mm(wall_gap_mm=left_mm), TENTHS)
    if right_mm > 0:
        figures["gap_right"] = numbers.written(right_mm, TENTHS)
        figures["packer_right"] = numbers.written(parts.packer_thickness_mm(wall_gap_mm=right_mm), TENTHS)


def depth_to_stand_tracks_mm(calculated: Calculated) -> float:
    """Depth [mm] that a lapping track takes while it is set upright below the open bottom bar.

    At a slant its upper end must pass under bar and seal, so it is lower by what they hang below the mouth:
    L·(1 - cos φ) = h, and its foot stands L·sin φ ≈ √(2·h·L) inwards.
    """
    hardware = calculated.job.hardware
    hangs_mm = hardware.running.stop_gap_mm + hardware.bar.height_mm + hardware.bar.seal_free_mm
    return sqrt(2 * hangs_mm * calculated.answer.tracks.length_mm)
