"""Documents that fit the published models and are full of what cells do not like."""

import unicodedata
from datetime import datetime

from hypothesis import strategies as st

from tests.imports.documents import Document, box

HARD = [
    "=1+1", "+x", "-", "@a", "'q", '"', '"q"', "none", "None", "007", "1-2", "1,476", "_x0041_", " x ", "x\u00a0",
    "do", "é", "Ωμ", "😀", "\ufffe", "a  b", "Tank: 1", "Tank", "Total", "heel", "Sum", "n/a", "TRUE", "22-07", "1e5",
    "%", "m", "Tank \\ x", "Condition", "x\u3000", "’", "″", "a/b", "sep=;", "#REF!", "a;b", "a,b", "Trim",
    "(for reading)",
]  # fmt: skip
_SAFE = st.characters(exclude_categories=("Cs", "Cc", "Cf", "Zl", "Zp"))
texts = st.one_of(st.sampled_from(HARD), st.text(_SAFE, min_size=1, max_size=12)).map(
    lambda text: unicodedata.normalize("NFC", text)
)
names = texts.filter(lambda text: 0 < len(text) <= 200)
ids = st.one_of(
    st.sampled_from(
        ["007", "1-2", "1/2", "8", "1E5", "none", "Tank", "do", "22-07", "P", "m", "1.476", "Sum", "TRUE"]
    ),
    st.from_regex(r"[A-Za-z0-9][A-Za-z0-9 ._/-]{0,6}", fullmatch=True),
)
figures = st.one_of(
    st.sampled_from([0.0, 0.1 + 0.2, 1.476, 1476.0, 1e-7, 2 / 3, 12.5, 1000.001, 999.999]),
    st.floats(0.001, 4000, allow_nan=False),
)
days = st.one_of(st.sampled_from([0.25, 0.1 + 0.2, 1.476]), st.floats(0.001, 900, allow_nan=False))
positions = st.one_of(figures, figures.map(lambda value: -value if value else value))


@st.composite
def awkward(draw: st.DrawFn) -> Document:
    """A vessel document that fits the schema, full of what cells do not like; parts empty, absent or there."""
    document = box()
    document["name"] = draw(names)
    document["source"] = {
        "booklet": draw(names),
        **draw(st.fixed_dictionaries({}, optional={"revision": st.one_of(names, st.just(""))})),
    }
    tank_ids = draw(st.lists(ids, max_size=4, unique=True))
    document["tanks"] = [_tank(draw, id) for id in tank_ids]
    document["rule_sets"] = draw(
        st.lists(st.from_regex(r"[a-z0-9][a-z0-9.-]{0,9}", fullmatch=True), max_size=3)
    )
    if draw(st.booleans()):
        hold_ids = draw(st.lists(ids, max_size=2, unique=True))
        document["holds"] = [
            {"id": id, "name": draw(names), "capacity": 10.0, "lcg": draw(positions), "vcg": 1.0}
            for id in hold_ids
        ]
    opening = st.fixed_dictionaries(
        {"name": names, "x": positions, "y": positions, "z": positions, "protection": st.just("unprotected")},
        optional={"closes_automatically": st.booleans()},
    )
    document["openings"] = [
        {"id": id, **draw(opening)} for id in draw(st.lists(ids, max_size=2, unique=True))
    ]
    if draw(st.booleans()):
        del document["openings"]
    if draw(st.booleans()):
        document["draft_marks"] = draw(
            st.lists(
                st.fixed_dictionaries({"name": names, "x": positions, "keel_offset": positions}),
                max_size=3,
            )
        )
    if draw(st.booleans()):
        del document["cross_curves"]
    elif draw(st.booleans()):
        document["cross_curves"] |= {"at_other_trims": [], "trim": draw(positions)}
    if draw(st.booleans()):
        document["load_lines"] = {"summer_draft": draw(figures.filter(bool)), "marks": {}}
    if draw(st.booleans()):
        document["gm_limits"] = draw(st.lists(_limits(), max_size=3))
    if draw(st.booleans()):
        document["strength"] = draw(_strength())
    if draw(st.booleans()):
        document["printed_conditions"] = [
            _printed(draw, name, tank_ids) for name in draw(st.lists(names, max_size=3, unique=True))
        ]
    return document


def _tank(draw: st.DrawFn, id: str) -> Document:
    tank = {
        "id": id, "name": draw(names), "side": "centre", "contents": "waste", "capacity": draw(figures.filter(bool)),
        "lcg": draw(positions), "vcg": draw(positions), "tcg": draw(positions),
    }  # fmt: skip
    optional = {
        "frames": st.one_of(names, st.just("")), "density": st.just(1.025), "unpumpable": figures,
        "extent": st.fixed_dictionaries({"x_from": positions, "x_to": positions}),
        "rectangular_surface": st.fixed_dictionaries({"length": st.just(2.0), "breadth": st.just(1.5)},
                                                     optional={"compartments": st.just(3)}),
        "table": st.fixed_dictionaries(
            {"rows": st.lists(_row(), min_size=2, max_size=3)}, optional={"density": st.just(0.9)}
        ),
        "printed_free_surface": st.fixed_dictionaries({"columns": st.lists(_column(), min_size=1, max_size=2)}),
        "heeled_moments": st.just(
            {"fillings": [25.0, 50.0], "heels": [0.0, 10.5], "moments": [[0.0, 1.476], [0.1, 2.0]]}
        ),
    }  # fmt: skip
    return {**tank, **draw(st.fixed_dictionaries({}, optional=optional))}


def _row() -> st.SearchStrategy[Document]:
    return st.fixed_dictionaries(
        {"volume": figures, "lcg": positions, "vcg": positions},
        optional={"sounding": figures, "tcg": positions, "free_surface_inertia": figures},
    )


def _column() -> st.SearchStrategy[Document]:
    return st.fixed_dictionaries(
        {
            "contents": st.sampled_from(["ballast", "fuel_oil"]), "density": st.just(1.025), "limit_mass": figures,
            "slack_moment": figures, "limit_moment": figures,
        },
        optional={"limit_tolerance": figures},
    )  # fmt: skip


def _limits() -> st.SearchStrategy[Document]:
    row = st.fixed_dictionaries({"draft": figures, "value": positions}, optional={"trim_from": positions})
    return st.fixed_dictionaries(
        {
            "name": names,
            "basis": st.sampled_from(["min_gm", "max_vcg"]),
            "rows": st.lists(row, min_size=1, max_size=2),
        }
    )


def _strength() -> st.SearchStrategy[Document]:
    limit = st.fixed_dictionaries(
        {"draft": positions}, optional={"most": figures, "set": st.sampled_from(["sea", "harbour"])}
    )
    pair = st.fixed_dictionaries(
        {
            "holds": st.lists(ids, min_size=2, max_size=2),
            "mass_limits": st.lists(limit, min_size=1, max_size=2),
        }
    )
    sections = st.integers(2, 4).flatmap(
        lambda n: st.fixed_dictionaries(
            {
                "x": st.lists(positions, min_size=n, max_size=n),
                "drafts": st.lists(positions, min_size=3, max_size=3),
                "areas": st.lists(st.lists(figures, min_size=3, max_size=3), min_size=n, max_size=n),
            },
            optional={"factor": st.just(1.006)},
        )
    )
    station = st.fixed_dictionaries({"x": positions}, optional={"name": names, "shear_force_sea": figures})
    return st.fixed_dictionaries(
        {"stations": st.lists(station, max_size=2)},
        optional={"sections": sections, "adjacent_holds": st.lists(pair, max_size=3)},
    )


@st.composite
def awkward_plan(draw: st.DrawFn) -> Document:
    """A condition with a plan full of what cells do not like: names that part lists, stages of one name, long lists."""
    weight = st.fixed_dictionaries(
        {"name": names, "category": st.just("cargo"), "mass": figures, "lcg": positions, "vcg": positions}
    )
    filling = st.fixed_dictionaries({"tank": ids}, optional={"fill": figures, "contents": st.just("waste")})
    use = st.fixed_dictionaries(
        {"mass_per_day": positions},
        optional={
            "weight": names,
            "leave": st.just(2.5),
            "order": st.lists(st.lists(ids, min_size=1, max_size=30), max_size=9),
        },
    )
    day = st.dates().map(lambda d: f"{d:%m-%d}")
    mark = st.sampled_from(["S", "W", "WNA"])
    season = st.fixed_dictionaries({"from": day, "to": day, "mark": mark, "otherwise": mark})
    surface = st.fixed_dictionaries(
        {"name": names, "kind": st.just("deck"), "area": figures, "x": positions, "z": positions}
    )
    stage = st.fixed_dictionaries(
        {"name": names},
        optional={
            "days": days,
            "season": season,
            "inland": st.booleans(),
            "deflection": positions,
            "transition": st.just("ends"),
            "removed_weights": st.lists(names, max_size=9),
            "consumption": st.lists(use, max_size=2),
            "tanks": st.lists(filling, max_size=2),
            "weights": st.lists(weight, max_size=2),
            "icing": st.fixed_dictionaries(
                {"factor": st.just(0.5)}, optional={"surfaces": st.lists(surface, max_size=2)}
            ),
        },
    )
    moments = st.datetimes(datetime(1900, 1, 1), datetime(2199, 1, 1)).map(lambda t: f"{t.isoformat()}Z")
    plan = st.fixed_dictionaries(
        {"kind": st.just("voyage"), "stages": st.lists(stage, min_size=1, max_size=4)},
        optional={
            "departs": st.one_of(
                moments, st.just("2026-10-28T12:00:00Z"), st.just("2026-10-28T12:00:00.5+00:00")
            ),
            "every_days": days,
            "consumption": st.lists(use, max_size=2),
        },
    )
    reading = st.one_of(figures, st.fixed_dictionaries({"port": figures, "starboard": figures}))
    optional = {
        "drafts_at": st.lists(positions, max_size=3),
        "plan": plan,
        "observed": st.fixed_dictionaries({"drafts": st.dictionaries(names, reading, max_size=3)}),
    }
    blank = {
        "units": "metric",
        "title": draw(names),
        "water_density": 1.025,
        "free_surface": {"basis": "as_filled"},
        "tanks": [],
        "weights": [],
    }
    return {**blank, **draw(st.fixed_dictionaries({}, optional=optional))}  # fmt: skip


def _printed(draw: st.DrawFn, name: str, tanks: list[str]) -> Document:
    levers = [
        {"heel": heel, "lever": draw(positions)}
        for heel in draw(st.sampled_from([[10.0], [10.0, 30.0], [20.0]]))
    ]
    return {
        "name": name,
        "water_density": 1.025,
        "free_surface": "as_filled",
        "tanks": [{"tank": id, "fill": draw(figures)} for id in tanks[: draw(st.integers(0, 2))]],
        "weights": [
            {"name": draw(names), "category": "cargo", "mass": draw(figures), "lcg": draw(positions), "vcg": 1.0}
        ],
        "printed": {
            **draw(st.fixed_dictionaries({}, optional={"displacement": figures, "list": positions})),
            "righting_levers": levers,
        },
        **draw(st.fixed_dictionaries({}, optional={"page": st.one_of(names, st.just("")), "phase": st.just("at_sea")})),
    }  # fmt: skip
