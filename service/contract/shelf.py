"""The catalogue as the core takes it: its rows turned into the core's inputs once, when it is loaded."""

from collections.abc import Iterable
from typing import Any, NamedTuple, cast

from msgspec import UNSET

from service.calculation import job
from service.calculation.parts import ARTICLES, articles_by_part
from service.calculation.spring_choice import wires_for
from service.catalogue import rows
from service.catalogue.loader import CatalogueError, Loaded

WHEEL_ALLOWANCE_BEYOND_MM = 5.0
"""What the wheel allowance adds to wheel radius and slat thickness where a slat does not state its own."""


class Shelf(NamedTuple):
    """What a request's ids may name, in the core's form."""

    catalogue_id: str
    catalogue_sha256: str
    slats: dict[str, job.Slat]
    tubes_of_slat: dict[str, dict[str, job.Tube]]
    side_plates: dict[str, job.SidePlate]
    mounts: dict[str, job.Mount]
    hardware: job.Hardware
    offer: job.Offer


def stock(loaded: Loaded) -> Shelf:
    """Turn a loaded catalogue into what the core takes. Side plates stand from the smallest.

    Raises:
        CatalogueError: no spring can be made in one of its tubes, or a part has no article number.
    """
    catalogue = loaded.catalogue
    springs = job.SpringSet(**_members(catalogue.springs))
    tubes = {row.id: job.Tube(**_members(row)) for row in catalogue.tubes}
    _check_springs(springs, tubes.values())
    _check_articles(catalogue.articles)
    plates = sorted(catalogue.side_plates, key=lambda row: (row.deep_mm, row.high_mm))
    slats = {row.id: _slat(row) for row in catalogue.slats}
    tubes_of_slat = {row.id: {id: tubes[id] for id in row.tubes} for row in catalogue.slats}
    side_plates = {row.id: _side_plate(row) for row in plates}
    mounts = {"reveal": _mount("reveal", catalogue.mounts.reveal), "face": _mount("face", catalogue.mounts.face)}
    return Shelf(
        catalogue_id=catalogue.id,
        catalogue_sha256=loaded.sha256,
        slats=slats,
        tubes_of_slat=tubes_of_slat,
        side_plates=side_plates,
        mounts=mounts,
        offer=job.Offer(
            slats=tuple(slats.values()),
            tubes_of_slat={id: tuple(found.values()) for id, found in tubes_of_slat.items()},
            side_plates=tuple(side_plates.values()),
            mounts=tuple(mounts.values()),
        ),
        hardware=job.Hardware(
            track=job.Track(**_members(catalogue.track)),
            plate=job.PlateFixing(**_members(catalogue.plate_fixing)),
            bar=job.BottomBar(**_members(catalogue.bottom_bar)),
            header=job.Header(
                top_seals=tuple(job.TopSeal(**_members(row)) for row in catalogue.top_seals),
                **_members(catalogue.header),
            ),
            running=job.Running(**_members(catalogue.running)),
            drag=job.Drag(**_members(catalogue.drag)),
            limits=job.Limits(**_members(catalogue.limits)),
            springs=springs,
            electrics=job.Electrics(**_members(catalogue.electrics)),
            articles=articles_by_part(catalogue.articles),
        ),
    )


def _check_springs(springs: job.SpringSet, tubes: Iterable[job.Tube]) -> None:
    """Refuse tubes in which no spring can be made at all: the rule that chooses springs needs one to begin with.

    Raises:
        CatalogueError: there is such a tube.
    """
    for tube in tubes:
        if not wires_for(springs, tube):
            reason = "no wire of the catalogue makes a spring in this tube"
            raise CatalogueError(f"springs.wires_mm: tube {tube.id!r}: {reason}")


def _check_articles(articles: dict[str, str]) -> None:
    """Refuse a catalogue that does not number every part.

    Raises:
        CatalogueError: a kind of part has no article number, or there is no such kind.
    """
    missing = [kind for kind in ARTICLES if kind not in articles]
    unknown = [kind for kind in articles if kind not in ARTICLES]
    faults = [*(f"articles.{kind}: is missing" for kind in missing), *(f"articles.{kind}: no such part" for kind in unknown)]
    if faults:
        raise CatalogueError("\n".join(faults))


def _members(row: rows.Row) -> dict[str, Any]:
    return {name: getattr(row, name) for name in row.__struct_fields__}


def _slat(row: rows.SlatRow) -> job.Slat:
    own = {name: getattr(row, name) for name in row.__struct_fields__ if name not in {"tubes", "wheel_allowance_mm"}}
    allowance = row.wheel_allowance_mm
    if allowance is UNSET:
        allowance = row.wheel_radius_mm + row.thickness_mm + WHEEL_ALLOWANCE_BEYOND_MM
    return job.Slat(**own, wheel_allowance_mm=allowance)


def _mount(id: job.MountId, row: rows.MountRow) -> job.Mount:
    return job.Mount(id=id, **_members(row))


def _side_plate(row: rows.SidePlateRow) -> job.SidePlate:
    columns = row.bracket_columns.positions_mm(row.deep_mm)
    return job.SidePlate(
        id=row.id,
        article=row.article,
        deep_mm=row.deep_mm,
        high_mm=row.high_mm,
        wheel_holes=tuple(
            job.WheelHole(
                name=cast("job.WheelHoleName", hole.name),
                from_front_mm=hole.from_front_mm,
                from_base_mm=hole.from_base_mm,
            )
            for hole in row.wheel_holes
        ),
        bracket_holes=tuple(
            job.BracketHole(row=index, column=column, from_front_mm=from_front, from_base_mm=row.high_mm / 2 - below)
            for index, below in enumerate(row.bracket_rows_below_centre_mm)
            for column, from_front in enumerate(columns)
        ),
    )
