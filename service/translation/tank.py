"""A tank of a vessel document into the core's tank."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from service.core.tank import (
    AT_THE_LIMIT,
    GROUP_DENSITY,
    HeeledMoments,
    PrintedColumn,
    RectangularSurface,
    Tank,
    TankTable,
)
from service.translation.axes import AxesAndUnits
from service.translation.strength import extent_of
from service.wire import tank as wire_tank


def tank_of(tank: wire_tank.Tank, axes: AxesAndUnits) -> Tank:
    """One tank in the core's units and axes."""
    scale, surface, heeled = axes.scale, tank.rectangular_surface, tank.heeled_moments
    return Tank(
        id=tank.id,
        name=tank.name,
        side=tank.side,
        contents=tank.contents,
        density=tank.density,
        capacity=tank.capacity * scale.volume,
        lcg=axes.x(tank.lcg),
        vcg=tank.vcg * scale.length,
        tcg=axes.y(tank.tcg),
        normal_limit=tank.normal_limit,
        limit_tolerance=AT_THE_LIMIT if tank.normal_limit_tolerance is None else tank.normal_limit_tolerance,
        capacity_tolerance=half_last_digit(tank.capacity) * scale.volume,
        unpumpable=tank.unpumpable * scale.volume,
        pair=tank.pair,
        table=None if tank.table is None else _tank_table(tank.table, axes),
        printed=tuple(
            PrintedColumn(
                column.contents,
                column.density,
                column.limit_mass * scale.mass,
                column.slack_moment * scale.moment,
                column.limit_moment * scale.moment,
                _tolerance(column.limit_tolerance, column.limit_mass) * scale.mass,
            )
            for column in (tank.printed_free_surface.columns if tank.printed_free_surface else ())
        ),
        rectangular=None
        if surface is None
        else RectangularSurface(
            surface.length * scale.length, surface.breadth * scale.length, surface.compartments
        ),
        heeled=None if heeled is None else _heeled(heeled, scale.inertia),
        extent=extent_of(tank.extent, axes),
    )


def _heeled(table: wire_tank.HeeledMoments, inertia: float) -> HeeledMoments:
    first = 1 if table.heels[0] == 0.0 else 0
    moments = [[moment * inertia for moment in row[first:]] for row in table.moments]
    return HeeledMoments(table.fillings, table.heels[first:], moments)


def _tolerance(given: float | None, printed: float) -> float:
    return half_last_digit(printed) if given is None else given


def half_last_digit(printed: float) -> float:
    """Half a unit of the last decimal a number was written with: 0.05 for 98.5, 0.5 for 412 (or 412.0).

    Trailing zeros of a decimal fraction do not survive JSON, so 412.0 counts as written without decimals."""
    exponent = Decimal(repr(float(printed))).normalize().as_tuple().exponent
    return 0.5 * 10.0 ** min(int(exponent), 0)


def _tank_table(table: wire_tank.TankTable, axes: AxesAndUnits) -> TankTable:
    scale, rows = axes.scale, table.rows

    def column(name: str, factor: float) -> list[float] | None:
        values = [getattr(row, name) for row in rows]
        return None if None in values else [value * factor for value in values]

    inertia = column("free_surface_inertia", scale.inertia)
    if table.density is not None and rows[0].free_surface_moment is not None:
        inertia = column("free_surface_moment", scale.moment / table.density)
    return TankTable(
        volume=[row.volume * scale.volume for row in rows],
        lcg=[axes.x(row.lcg) for row in rows],
        vcg=[row.vcg * scale.length for row in rows],
        tcg=[axes.y(row.tcg) for row in rows],
        sounding=column("sounding", scale.length),
        ullage=column("ullage", scale.length),
        inertia=inertia,
    )


def usual_density(tank: Mapping[str, Any]) -> float:
    """Density that counts for a tank of a vessel document where a condition gives none; t/m³."""
    given = tank.get("density")
    return GROUP_DENSITY[tank["contents"]] if given is None else float(given)
