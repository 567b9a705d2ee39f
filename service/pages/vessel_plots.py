"""The tables of a vessel document as plots, small or large, with the rows that a check doubts marked."""

from collections.abc import Iterable, Sequence
from typing import Any

from markupsafe import Markup

from service.pages.drawings.booklet_plot import Plotted
from service.pages.drawings.table_plot import Series, table_plot
from service.wire.figures import MINUS, unit
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
_FORCES = (("shear_force", "Shear force"), ("bending_moment", "Bending moment"))


def _signed(value: float) -> str:
    return f"{MINUS}{-value:g}" if value < 0.0 else f"{value:g}"


def small(plots: Sequence[Plotted]) -> list[Markup]:
    """The plots as they stand on a page about many tables."""
    return [table_plot(p.name, p.title, p.along, p.series, doubtful=p.doubtful) for p in plots]


def hydrostatic_plots(vessel: Row, doubts: Iterable[Doubt], reached: Sequence[float] = ()) -> list[Plotted]:
    """One plot a column over draft, one curve a trim."""
    system, rows = vessel["units"], vessel["hydrostatics"]["rows"]
    paths = {d["path"] for d in doubts}
    groups: dict[float, list[Row]] = {}
    for row in rows:
        groups.setdefault(row.get("trim") or 0.0, []).append(row)
    trims = [_signed(trim) for trim in sorted(groups)] if len(groups) > 1 else []
    beside = f"; names: trim, {unit('trim', system)}" if trims else ""
    plots = []
    for column, title, quantity in _HYDROSTATIC:
        series = [Series([r["draft"] for r in g], [r[column] for r in g]) for _, g in sorted(groups.items())]
        doubtful = [
            (row["draft"], row[column])
            for i, row in enumerate(rows)
            if f"/hydrostatics/rows/{i}/{column}" in paths
        ]
        plots.append(
            Plotted(
                f"hydrostatic-{column}",
                f"{title}, {unit(quantity, system)}",  # type: ignore[arg-type]
                f"draft, {unit('draft', system)}{beside}",
                series,
                doubtful,
                trims,
                reached,
            )
        )
    return plots


def cross_curve_plots(vessel: Row, doubts: Iterable[Doubt], reached: Sequence[float] = ()) -> list[Plotted]:
    """Levers over displacement, one curve a heel; a plot a trim."""
    curves = vessel.get("cross_curves")
    if curves is None:
        return []
    system, paths = vessel["units"], {d["path"] for d in doubts}
    word = "KN" if curves["basis"] == "kn" else "GZ at the assumed VCG"
    blocks = [(curves.get("trim") or 0.0, curves, "/cross_curves")]
    blocks += [
        (block["trim"], block, f"/cross_curves/at_other_trims/{i}")
        for i, block in enumerate(curves.get("at_other_trims") or ())
    ]
    plots = []
    for place, (trim, block, path) in enumerate(blocks):
        across = block["displacements"]
        levers = block["levers"]
        series = [Series(across, [row[j] for row in levers]) for j in range(len(curves["heels"]))]
        doubtful = [
            (across[i], row[j])
            for i, row in enumerate(levers)
            for j in range(len(row))
            if f"{path}/levers/{i}/{j}" in paths
        ]
        at_trim = f", trim {_signed(trim)} {unit('trim', system)}" if len(blocks) > 1 else ""
        title = f"{word}, {unit('length', system)}{at_trim}"
        along = f"displacement, {unit('mass', system)}; names: heel"
        names = [f"{heel:g}°" for heel in curves["heels"]]
        plots.append(Plotted(f"cross-curves-{place}", title, along, series, doubtful, names, reached))
    return plots


def limit_plots(vessel: Row, doubts: Iterable[Doubt]) -> list[Plotted]:
    """Least GM or greatest VCG over draft, a plot for each limit of her booklet and one curve a range of trim."""
    system, paths = vessel["units"], {d["path"] for d in doubts}
    plots = []
    for place, limit in enumerate(vessel.get("gm_limits") or ()):
        groups: dict[tuple[float, float], list[Row]] = {}
        for row in limit["rows"]:
            trims = (row.get("trim_from") or 0.0, row.get("trim_to") or 0.0)
            groups.setdefault(trims, []).append(row)
        series = [Series([r["draft"] for r in g], [r["value"] for r in g]) for _, g in sorted(groups.items())]
        names = [f"{_signed(a)} to {_signed(b)}" for a, b in sorted(groups)] if len(groups) > 1 else []
        doubtful = [
            (row["draft"], row["value"])
            for i, row in enumerate(limit["rows"])
            if f"/gm_limits/{place}/rows/{i}/value" in paths
        ]
        what = "Least GM" if limit["basis"] == "min_gm" else "Greatest VCG"
        title, along = f"{what}, {unit('lever', system)}", f"draft, {unit('draft', system)}"
        plots.append(Plotted(f"limit-{place}", title, along, series, doubtful, names))
    return plots


def tank_plots(place: int, tank: Row, vessel: Row, doubts: Iterable[Doubt]) -> list[Plotted]:
    """Volume, centre and free surface over sounding (or ullage), where the tank has a table."""
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
    columns = (
        ("volume", f"Volume, {unit('volume', system)}"),
        ("vcg", f"VCG, {unit('position', system)}"),
        ("lcg", f"LCG, {unit('position', system)}"),
        ("free_surface_inertia", f"Inertia of the surface, {fourth}"),
        ("free_surface_moment", f"Free surface moment, {unit('mass_moment', system)}"),
    )
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
        plots.append(Plotted(f"tank-{place}-{column}", title, label, [Series(xs, ys)], doubtful))
    return plots


def wind_plots(vessel: Row, doubts: Iterable[Doubt]) -> list[Plotted]:
    """Lateral area and the height of its centroid over draft."""
    rows, system = vessel.get("wind_profile") or [], vessel["units"]
    paths = {d["path"] for d in doubts}
    columns = (
        ("area", f"Lateral area, {unit('area', system)}"),
        ("centroid_height", f"Height of centroid, {unit('position', system)}"),
    )
    return [
        Plotted(
            f"wind-{column}",
            title,
            f"draft, {unit('draft', system)}",
            [Series([row["draft"] for row in rows], [row[column] for row in rows])],
            [
                (row["draft"], row[column])
                for i, row in enumerate(rows)
                if f"/wind_profile/{i}/{column}" in paths
            ],
        )
        for column, title in columns
        if rows
    ]


def strength_plots(vessel: Row) -> list[Plotted]:
    """Limits at sea and in harbour at the read-out points, as her booklet prints them."""
    strength = vessel.get("strength")
    if strength is None:
        return []
    plots = []
    for member, title in _FORCES:
        series, names = [], []
        for which in ("sea", "harbour"):
            rows = [s for s in strength["stations"] if s.get(f"{member}_{which}") is not None]
            if len(rows) > 1:
                series.append(Series([s["x"] for s in rows], [s[f"{member}_{which}"] for s in rows]))
                names.append(which)
        along = f"x as in her booklet, {unit('position', vessel['units'])}"
        plots.append(
            Plotted(f"strength-{member}", f"{title}, limits of the positive sign", along, series, (), names)
        )
    return plots


def plots_of_part(vessel: Row, part: str, of: str, doubts: Sequence[Doubt], coverage: Row) -> list[Plotted]:
    """The plots that belong to a part of the booklet. coverage: what her printed conditions reach."""
    if part == "hydrostatics":
        return hydrostatic_plots(vessel, doubts, coverage["drafts"])
    if part == "cross-curves":
        return cross_curve_plots(vessel, doubts, coverage["displacements"])
    if part == "tank-tables":
        found = next((i for i, tank in enumerate(vessel["tanks"]) if tank["id"] == of), None)
        return [] if found is None else tank_plots(found, vessel["tanks"][found], vessel, doubts)
    if part == "limits":
        return limit_plots(vessel, doubts)
    if part == "wind":
        return wind_plots(vessel, doubts)
    return strength_plots(vessel) if part == "strength" else []


def small_plots(vessel: Row, doubts: Sequence[Doubt]) -> dict[str, Any]:
    """The drawings of the page about a whole booklet, made when they are asked for."""
    return {
        "hydrostatic_plots": lambda: small(hydrostatic_plots(vessel, doubts)),
        "cross_curve_plots": lambda: small(cross_curve_plots(vessel, doubts)),
        "limit_plots": lambda: small(limit_plots(vessel, doubts)),
        "tank_plots": lambda place, tank: small(tank_plots(place, tank, vessel, doubts)),
    }
