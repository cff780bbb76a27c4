"""Calibration: from measured coils to the slat's nesting factor, by least squares on the radius.

One unknown: how far layers stand apart, as a share of a chord's sagitta. A coil's radius is nearly straight in it, so
Gauss-Newton steps settle it in a few rounds. Pairs that no coil of this slat on this tube can give are refused, each with
its reason, rather than averaged.
"""

from collections.abc import Iterator, Sequence
from math import sqrt
from typing import Final, NamedTuple

from ..audit.rules import rule
from . import coil

PAIRS_MIN: Final = 3
PAIRS_MAX: Final = 50
"""How many measured pairs a calibration takes."""

NESTING_MIN: Final = 0.0
NESTING_MAX: Final = 3.0
"""Nesting factors that a catalogue may state: with 0 layers touch as those of a limp strip do."""

NESTING_DIGITS: Final = 3
"""Decimals of the factor in a catalogue; an overshoot beyond the range that they do not show does not count."""

TOLERANCE_MM: Final = 2.0
"""Measuring tolerance [mm] of a coil's radius unless another is given: that of an opening's dimensions."""

OUTLIER_TOLERANCES: Final = 2.0
"""Measuring tolerances by which a single radius may miss the spiral; all together may miss it by one (root mean square).

Basis: assumption. A tolerance is read as two standard deviations of a measurement. Three coils that follow the spiral
then miss it by more than one tolerance (root mean square) in 1 of 400 cases, more coils hardly ever; and a single radius
misses it by two tolerances, four standard deviations, in 1 of 16 000.
"""

ROUNDS: Final = 50
"""More Gauss-Newton rounds than a coil needs (about five); bounds the loop should rounding noise make it circle."""

STEP: Final = 1e-4
"""Change of the nesting factor over which the radius is differenced."""

RESOLUTION: Final = 1e-10
"""Change of the nesting factor at which the iteration ends."""


class Pair(NamedTuple):
    """One measured coil: its slats, and its outer radius where it is widest."""

    slat_count: int
    radius_mm: float


class Profile(NamedTuple):
    """The slat and the tube that the coils were measured on."""

    slat: str
    pitch_mm: float
    thickness_mm: float
    tube_radius_mm: float


class Contradiction(NamedTuple):
    """Why a pair cannot belong to a spiral, as a code and its figures.

    `position` counts the pairs from 0, None means all of them together; `limit` is what the pair, or all, go beyond.
    """

    position: int | None
    code: str
    figures: dict[str, float]
    limit: float | None = None


class NoSpiralError(ValueError):
    """The pairs contradict a spiral of this slat on this tube."""

    def __init__(self, contradictions: Sequence[Contradiction]) -> None:
        """Keep every contradiction."""
        super().__init__(", ".join(one.code for one in contradictions))
        self.contradictions = tuple(contradictions)


class Calibration(NamedTuple):
    """The nesting factor that the pairs give; residuals are measured less computed radii in the order of the pairs."""

    nesting: float
    standard_error: float
    residuals_mm: tuple[float, ...]
    root_mean_square_mm: float
    radius_min_mm: float
    radius_max_mm: float
    toml: str


def calibrate(*, pairs: Sequence[Pair], profile: Profile, tolerance_mm: float = TOLERANCE_MM) -> Calibration:
    """Fit the nesting factor to measured coils.

    Args:
        pairs: 3 to 50 measured coils of one slat on one tube, in any order
        profile: that slat and that tube
        tolerance_mm: measuring tolerance of a radius

    Raises:
        NoSpiralError: the pairs contradict a spiral; it lists every contradiction found.
    """
    _refuse([*_contradictions(pairs, profile, tolerance_mm)])
    counts, radii = tuple(pair.slat_count for pair in pairs), tuple(pair.radius_mm for pair in pairs)
    rows = {"tube_radius_mm": profile.tube_radius_mm, "pitch_mm": profile.pitch_mm, "thickness_mm": profile.thickness_mm}
    wanted = nesting_factor(slat_counts=counts, radii_mm=radii, **rows)
    _refuse([*_outside(wanted)])
    nesting = min(max(wanted, NESTING_MIN), NESTING_MAX)
    residuals = radius_residuals_mm(
        radii_mm=radii, computed_radii_mm=coil_radii_mm(slat_counts=counts, nesting=nesting, **rows)
    )
    spread = root_mean_square_mm(residuals_mm=residuals)
    _refuse([*_misses(residuals, spread, tolerance_mm)])
    error = nesting_standard_error(
        residuals_mm=residuals, slopes_mm=radius_slopes_mm(slat_counts=counts, nesting=nesting, **rows)
    )
    return Calibration(
        nesting=nesting,
        standard_error=error,
        residuals_mm=residuals,
        root_mean_square_mm=spread,
        radius_min_mm=min(radii),
        radius_max_mm=max(radii),
        toml=_toml(pairs, profile, nesting=nesting, error=error, spread_mm=spread),
    )


def coil_radii_mm(
    *, slat_counts: tuple[int, ...], nesting: float, tube_radius_mm: float, pitch_mm: float, thickness_mm: float
) -> tuple[float, ...]:
    """Outer radii of coils of so many slats [mm]; shape (pairs,)."""
    # not kept: the factors tried here would push out the catalogue's own tables
    table = coil.CoilTable(tube_radius_mm=tube_radius_mm, pitch_mm=pitch_mm, thickness_mm=thickness_mm, nesting=nesting)
    return tuple(
        coil.outer_radius_mm(hinge_radius_mm=table.radii_mm[count], thickness_mm=thickness_mm) for count in slat_counts
    )


rule(coil_radii_mm, symbol="R(n)", unit="mm", formula="R(n) = ρ(n; η) + t/2", basis="geometry", source=coil.DERIVED)


def radius_slopes_mm(
    *, slat_counts: tuple[int, ...], nesting: float, tube_radius_mm: float, pitch_mm: float, thickness_mm: float
) -> tuple[float, ...]:
    """Growth of the radii by a nesting factor of 1 more [mm]; shape (pairs,)."""
    rows = {"tube_radius_mm": tube_radius_mm, "pitch_mm": pitch_mm, "thickness_mm": thickness_mm}
    more = coil_radii_mm(slat_counts=slat_counts, nesting=nesting + STEP, **rows)
    less = coil_radii_mm(slat_counts=slat_counts, nesting=nesting - STEP, **rows)
    return tuple((above - below) / (2 * STEP) for above, below in zip(more, less, strict=True))


rule(
    radius_slopes_mm,
    symbol="R'(n)",
    unit="mm",
    formula="R'(n) = (R(n; η + 1e-4) - R(n; η - 1e-4))/2e-4",
    basis="handbook",
    source="central difference",
)


def radius_residuals_mm(*, radii_mm: tuple[float, ...], computed_radii_mm: tuple[float, ...]) -> tuple[float, ...]:
    """Measured less computed radii [mm]; shape (pairs,)."""
    return tuple(measured - computed for measured, computed in zip(radii_mm, computed_radii_mm, strict=True))


rule(
    radius_residuals_mm,
    symbol="e",
    unit="mm",
    formula="e = R_measured - R(n)",
    basis="handbook",
    source="definition of a residual",
)


def nesting_factor(
    *,
    slat_counts: tuple[int, ...],
    radii_mm: tuple[float, ...],
    tube_radius_mm: float,
    pitch_mm: float,
    thickness_mm: float,
) -> float:
    """Nesting factor that suits measured coils best [1].

    Coils are computed within 0 to 3 only. A value beyond is where the last step would have led: a hint how far off it is.
    """
    rows = {"tube_radius_mm": tube_radius_mm, "pitch_mm": pitch_mm, "thickness_mm": thickness_mm}
    tried = 1.0
    for _ in range(ROUNDS):
        computed = coil_radii_mm(slat_counts=slat_counts, nesting=tried, **rows)
        residuals = radius_residuals_mm(radii_mm=radii_mm, computed_radii_mm=computed)
        slopes = radius_slopes_mm(slat_counts=slat_counts, nesting=tried, **rows)
        ascent = sum(slope * residual for slope, residual in zip(slopes, residuals, strict=True))
        wanted = tried + ascent / sum(slope * slope for slope in slopes)
        refined = min(max(wanted, NESTING_MIN), NESTING_MAX)
        if abs(refined - tried) < RESOLUTION:
            break
        tried = refined
    return wanted


rule(
    nesting_factor,
    symbol="η",
    unit="1",
    formula="η with the least Σe², by steps Σ(R'·e)/ΣR'²",
    basis="handbook",
    source="least squares, Gauss-Newton",
)


def root_mean_square_mm(*, residuals_mm: tuple[float, ...]) -> float:
    """Root mean square of the residuals [mm]."""
    return sqrt(sum(residual * residual for residual in residuals_mm) / len(residuals_mm))


rule(
    root_mean_square_mm,
    symbol="e_rms",
    unit="mm",
    formula="e_rms = √(Σe²/m)",
    basis="handbook",
    source="definition, m pairs",
)


def nesting_standard_error(*, residuals_mm: tuple[float, ...], slopes_mm: tuple[float, ...]) -> float:
    """Standard error of the nesting factor [1]."""
    variance = sum(residual * residual for residual in residuals_mm) / (len(residuals_mm) - 1)
    return sqrt(variance / sum(slope * slope for slope in slopes_mm))


rule(
    nesting_standard_error,
    symbol="σ_η",
    unit="1",
    formula="σ_η = √(Σe²/(m - 1)/ΣR'²)",
    basis="handbook",
    source="least squares with one unknown, linear around the best factor",
)


def _refuse(contradictions: Sequence[Contradiction]) -> None:
    """Refuse the pairs where anything contradicts a spiral."""
    if contradictions:
        raise NoSpiralError(contradictions)


def _contradictions(pairs: Sequence[Pair], profile: Profile, tolerance_mm: float) -> Iterator[Contradiction]:
    """What can be said against the pairs before any coil is computed."""
    if not PAIRS_MIN <= len(pairs) <= PAIRS_MAX:
        yield Contradiction(None, "coil_count", {"count": len(pairs), "least": PAIRS_MIN, "most": PAIRS_MAX})
    if len({pair.slat_count for pair in pairs}) == 1:
        yield Contradiction(None, "one_slat_count", {})
    least = profile.tube_radius_mm + profile.thickness_mm
    for position, pair in enumerate(pairs):
        if not 1 <= pair.slat_count <= coil.TABLE_SLATS_MIN:
            yield Contradiction(position, "coil_slats", {"slats": pair.slat_count, "most": coil.TABLE_SLATS_MIN})
        if pair.radius_mm < least:
            yield Contradiction(position, "radius_of_one_slat", {"radius_mm": pair.radius_mm}, limit=least)
    yield from _shrinkings(pairs, tolerance_mm)


def _shrinkings(pairs: Sequence[Pair], tolerance_mm: float) -> Iterator[Contradiction]:
    """Coils smaller than others of fewer slats, or unlike others of as many, by more than the measuring tolerance."""
    for position, pair in enumerate(pairs):
        fewer = [other for other in pairs if other.slat_count < pair.slat_count]
        widest = max(fewer, key=lambda other: other.radius_mm, default=pair)
        if pair.radius_mm < widest.radius_mm - tolerance_mm:
            more = {"fewer_slats": widest.slat_count, "wider_mm": widest.radius_mm}
            yield Contradiction(position, "coil_shrinks", {**_figures(pair), **more})
        twin = next(other for other in pairs if other.slat_count == pair.slat_count)
        if abs(pair.radius_mm - twin.radius_mm) > tolerance_mm:
            yield Contradiction(position, "coil_twice", {**_figures(pair), "other_mm": twin.radius_mm}, limit=tolerance_mm)


def figure(value: float) -> str:
    """A number as people write it: at most three decimals, none that say nothing."""
    return f"{value:z.3f}".rstrip("0").rstrip(".")


def _figures(pair: Pair) -> dict[str, float]:
    return {"slats": pair.slat_count, "radius_mm": pair.radius_mm}


def _outside(wanted: float) -> Iterator[Contradiction]:
    """A factor that no catalogue may state."""
    if not NESTING_MIN <= round(wanted, NESTING_DIGITS) <= NESTING_MAX:
        code = "growth_too_small" if wanted < NESTING_MIN else "growth_too_great"
        yield Contradiction(None, code, {"nesting": wanted, "least": NESTING_MIN, "most": NESTING_MAX})


def _misses(residuals_mm: tuple[float, ...], spread_mm: float, tolerance_mm: float) -> Iterator[Contradiction]:
    """Residuals too large for measurements of a spiral."""
    if spread_mm > tolerance_mm:
        yield Contradiction(None, "coils_scatter", {"spread_mm": spread_mm}, limit=tolerance_mm)
    allowed = OUTLIER_TOLERANCES * tolerance_mm
    for position, residual in enumerate(residuals_mm):
        if abs(residual) > allowed:
            yield Contradiction(position, "coil_off_spiral", {"residual_mm": residual}, limit=allowed)


def _toml(pairs: Sequence[Pair], profile: Profile, *, nesting: float, error: float, spread_mm: float) -> str:
    """The line for the slat's row in a catalogue, with where it comes from."""
    counts, radii = [pair.slat_count for pair in pairs], [pair.radius_mm for pair in pairs]
    return (
        f"# Slat {profile.slat}: from {len(pairs)} measured coils of {min(counts)} to {max(counts)} slats, "
        f"radius {figure(min(radii))} to {figure(max(radii))} mm,\n"
        f"# on a tube of {figure(profile.tube_radius_mm)} mm radius; root mean square of the residuals "
        f"{figure(spread_mm)} mm, standard error {figure(error)}.\n"
        f"nesting = {nesting:.{NESTING_DIGITS}f}\n"
    )
