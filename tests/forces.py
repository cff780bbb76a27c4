"""What the tests of forces share: some heavy and odd shutters, and the rules over the lift of a fitting on any grid."""

from dataclasses import replace

import samples

from service.calculation import balance, coil
from service.calculation.spring import TURN_RAD

WIDE = samples.job(
    {"width_mm": 2450.0, "height_mm": 2440.0, "headroom_mm": 420.0},
    slat=samples.STOUT,
    tubes=(samples.T70,),
    duty=samples.duty(road_speed_km_h=60.0),
)
"""A wide, heavy shutter."""
NARROW = samples.job({"width_mm": 300.0, "height_mm": 1900.0})
"""A narrow, tall shutter whose tubes are too short for any spring of its torque."""
LIGHT = samples.job({"width_mm": 620.0, "height_mm": 900.0})
SOME = {
    "sample": samples.JOB,
    "light": LIGHT,
    "face": replace(samples.JOB, mount=samples.FACE),
    "stout": samples.job(
        {"width_mm": 1500.0, "height_mm": 1800.0, "headroom_mm": 400.0}, slat=samples.STOUT, tubes=(samples.T70,)
    ),
    "low": samples.job({"width_mm": 1100.0, "height_mm": 500.0}),
    "tall": samples.job({"width_mm": 1320.0, "height_mm": 2300.0, "headroom_mm": 420.0}),
    "wide": WIDE,
}
"""Shutters that fit, by name."""


def hinge_radius(profile, wound_slats):
    """Radius of the outermost hinge [mm] of a slat on a tube with so many slats wound."""
    return coil.hinge_radius_mm(**profile, slats_wound=wound_slats)


class Lift:
    """The lift of a fitting by the rules, at any positions of the bottom bar's top."""

    def __init__(self, made, tops_mm):
        """Apply the rules from the bar's heights to the torque given."""
        job, trial, answer = made.job, made.trial, made.answer
        slat, position, tube = job.slat, trial.position, trial.position.tube
        profile = {
            "tube_radius_mm": tube.radius_mm,
            "pitch_mm": slat.pitch_mm,
            "thickness_mm": slat.thickness_mm,
            "nesting": slat.nesting,
            "strap_radius_mm": position.strap_radius_mm,
        }
        places = vars(trial.centres)
        self.tops = tops_mm
        self.wound = balance.wound_slats(slat_count=trial.slat_count, bar_tops_mm=tops_mm, **places, **profile)
        # turned back from the open end: the last position, which need not be the open one, is taken off again
        ends = balance.turned_rad(**profile, wound_slats=[*self.wound, made.moved.wound_slats[-1]])
        self.turned = ends[:-1]
        self.levers = balance.levers_mm(**places, **profile, wound_slats=self.wound)
        self.weights = balance.weights_n(
            bar_mass_kg=job.hardware.bar.mass_kg_per_m * answer.curtain.slat_length_mm / 1000,
            curtain_mass_kg_per_mm=slat.mass_kg_per_m * answer.curtain.slat_length_mm / 1000 / slat.pitch_mm,
            bracket_z_mm=trial.centres.bracket_z_mm,
            bar_tops_mm=tops_mm,
        )
        self.drags = balance.drags_n(
            bar_tops_mm=tops_mm,
            mouth_z_mm=job.mount.mouth_z_mm,
            top_seal_length_mm=answer.tracks.lips_mm,
            track_drag_n_per_m=job.hardware.drag.track_n_per_m,
            seal_drag_n_per_m=job.hardware.drag.seal_n_per_m,
            bearings_drag_n=job.hardware.drag.bearings_n,
        )
        self.rate_n_mm = 1000 * answer.balance.rate_n_m_per_turn / TURN_RAD
        self.given = balance.torques_given_n_mm(
            spring_count=1,
            rate_n_mm=self.rate_n_mm,
            pretension_turns=made.choice.pretension_turns,
            turned_rad=self.turned,
        )
        self.hands_up = balance.hands_up_n(
            weights_n=self.weights, torques_given_n_mm=self.given, levers_mm=self.levers, drags_n=self.drags
        )
