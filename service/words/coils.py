"""What is said of measured coils that no slat on its tube can give, by the calculation's codes."""

from typing import Final

from .languages import marked

CONTRADICTIONS: Final = {
    "coil_count": marked("{count} coils; a calibration takes {least} to {most}"),
    "one_slat_count": marked("all coils have the same slat count; growth shows between different ones only"),
    "coil_slats": marked("{slats} slats; a coil has 1 to {most}"),
    "radius_of_one_slat": marked("radius {radius_mm} mm; a single slat on the tube already reaches {limit} mm"),
    "coil_shrinks": marked(
        "{slats} slats measure {radius_mm} mm, but {fewer_slats} slats measure {wider_mm} mm: a coil grows with its slats"
    ),
    "coil_twice": marked("{slats} slats measure {radius_mm} mm, but also {other_mm} mm: more apart than {limit} mm"),
    "growth_too_small": marked(
        "the radii grow less than any coil of this slat on this tube: nesting about {nesting}, allowed {least} to {most}"
    ),
    "growth_too_great": marked(
        "the radii grow more than any coil of this slat on this tube: nesting about {nesting}, allowed {least} to {most}"
    ),
    "coils_scatter": marked("the radii miss the best spiral by {spread_mm} mm (root mean square), at most {limit} mm"),
    "coil_off_spiral": marked("the radius misses the best spiral by {residual_mm} mm, at most {limit} mm either way"),
}
