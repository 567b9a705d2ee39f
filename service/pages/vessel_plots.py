"""The tables of a vessel document as small plots, with the rows that a check doubts marked."""

from collections.abc import Iterable
from typing import Any

from markupsafe import Markup

from service.pages.drawings.table_plot import Series, table_plot
from service.wire.figures import unit
from service.wire.vessel_check import Doubt

Row = dict[str, Any]
_HYDROSTATIC = (
    ("displacement", "Displacement", "mass"),
    ("km", "KM", "length"),
    ("tpc", "Immersion", "immersion"),
    ("mctc", "Moment to change trim", "trim_moment"),
    ("lcb", "LCB", "length"),
    ("lcf", "LCF", "length"),
)


def hydrostatic_plots(vessel: Row, doubts: Iterable[Doubt]) -> list[Markup]:
    """One plot a column over draft, one curve a trim."""
    system, rows = vessel["units"], vessel["hydrostatics"]["rows"]
    paths = {d["path"] for d in doubts}
    groups: dict[float, list[Row]] = {}
    for row in rows:
        groups.setdefault(row.get("trim") or 0.0, []).append(row)
    plots = []
    for column, title, quantity in _HYDROSTATIC:
        series = [Series([r["draft"] for r in g], [r[column] for r in g]) for _, g in sorted(groups.items())]
        doubtful = [
            (row["draft"], row[column])
            for i, row in enumerate(rows)
            if f"/hydrostatics/rows/{i}/{column}" in paths
        ]
        plots.append(
            table_plot(
                f"hydrostatic-{column}",
                f"{title}, {unit(quantity, system)}",  # type: ignore[arg-type]
                f"draft, {unit('draft', system)}",
                series,
                doubtful=doubtful,
            )
        )
    return plots


def cross_curve_plot(vessel: Row, doubts: Iterable[Doubt]) -> Markup:
    """Levers over displacement, one curve a heel."""
    curves = vessel.get("cross_curves")
    if curves is None:
        return Markup("")
    system = vessel["units"]
    paths = {d["path"] for d in doubts}
    across = curves["displacements"]
    series = [Series(across, [row[j] for row in curves["levers"]]) for j in range(len(curves["heels"]))]
    doubtful = [
        (across[i], row[j])
        for i, row in enumerate(curves["levers"])
        for j in range(len(row))
        if f"/cross_curves/levers/{i}/{j}" in paths
    ]
    word = "KN" if curves["basis"] == "kn" else "GZ at the assumed VCG"
    title = f"{word}, {unit('length', system)}, at {curves['heels'][0]:g}° to {curves['heels'][-1]:g}°"
    return table_plot(
        "cross-curves", title, f"displacement, {unit('mass', system)}", series, doubtful=doubtful
    )


def limit_plots(vessel: Row, doubts: Iterable[Doubt]) -> list[Markup]:
    """Least GM or greatest VCG over draft, a plot for each limit of her booklet and one curve a range of trim."""
    system, paths = vessel["units"], {d["path"] for d in doubts}
    plots = []
    for place, limit in enumerate(vessel.get("gm_limits") or ()):
        groups: dict[tuple[float, float], list[Row]] = {}
        for row in limit["rows"]:
            trims = (row.get("trim_from") or 0.0, row.get("trim_to") or 0.0)
            groups.setdefault(trims, []).append(row)
        series = [Series([r["draft"] for r in g], [r["value"] for r in g]) for _, g in sorted(groups.items())]
        doubtful = [
            (row["draft"], row["value"])
            for i, row in enumerate(limit["rows"])
            if f"/gm_limits/{place}/rows/{i}/value" in paths
        ]
        what = "Least GM" if limit["basis"] == "min_gm" else "Greatest VCG"
        title, along = f"{what}, {unit('lever', system)}", f"draft, {unit('draft', system)}"
        plots.append(table_plot(f"limit-{place}", title, along, series, doubtful=doubtful))
    return plots


def tank_plots(place: int, tank: Row, vessel: Row, doubts: Iterable[Doubt]) -> list[Markup]:
    """Volume and free surface over sounding (or ullage), where the tank has a table."""
    table = tank.get("table")
    if table is None:
        return []
    system, rows = vessel["units"], table["rows"]
    paths = {d["path"] for d in doubts}
    along = "sounding" if rows[0].get("sounding") is not None else "ullage"
    if any(row.get(along) is None for row in rows):
        along = "volume"
    xs = [row[along] for row in rows]
    label = f"{along}, {unit('volume' if along == 'volume' else 'length', system)}"
    fourth = "m⁴" if system == "metric" else "ft⁴"
    columns = [
        ("volume", f"Volume, {unit('volume', system)}"),
        ("free_surface_inertia", f"Inertia, {fourth}"),
    ]
    columns.append(("free_surface_moment", f"Moment, {unit('mass_moment', system)}"))
    plots = []
    for column, title in columns:
        if column == along or any(row.get(column) is None for row in rows):
            continue
        doubtful = [
            (row[along], row[column])
            for i, row in enumerate(rows)
            if f"/tanks/{place}/table/rows/{i}/{column}" in paths
        ]
        ys = [row[column] for row in rows]
        plots.append(table_plot(f"tank-{place}-{column}", title, label, [Series(xs, ys)], doubtful=doubtful))
    return plots
