"""How long a booklet on paper takes to type in: an invented ship goes in through the forms, part by part.

    .venv/bin/python -m tests.benchmarks.booklet_typing

The ship is a box with 30 tanks (closed forms, rounded as a booklet prints). She is entered twice: every figure by
hand, and with her tables pasted. Counted are keys (two a second, one more to leave each cell), pasted tables (10 s
each) and buttons (2 s each): rates that are ours, common practice, no source. Finding the page and reading back what
was typed is not counted. The seconds of the service are measured. Takes about a minute and ends by itself.
"""

import re
import tempfile
import time
from dataclasses import dataclass
from math import radians, sin, tan
from typing import Any

import httpx

from service.actions.booklet_grid import grid_of
from service.actions.booklet_parts import PARTS, lines_of, parents_of
from service.actions.keep_unfinished_booklet import Booklet
from tests.benchmarks.server_process import free_port, server_process

KEYS_A_SECOND, PASTE_SECONDS, BUTTON_SECONDS = 2.0, 10.0, 2.0
LENGTH, BREADTH, DEPTH, DENSITY = 80.0, 14.0, 7.5, 1.025
HEELS = [5.0, 10.0, 15.0, 20.0, 30.0, 40.0, 50.0, 60.0]
PASTED = frozenset(
    ("hydrostatics", "cross-curves", "tanks", "tank-tables", "printed-free-surface", "wind-profile")
)
TOKEN = re.compile(r'name="token" value="([^"]*)"')


@dataclass
class Effort:
    """What a person does."""

    keys: int = 0
    pastes: int = 0
    buttons: int = 0

    @property
    def minutes(self) -> float:
        """At the rates above."""
        seconds = self.keys / KEYS_A_SECOND + self.pastes * PASTE_SECONDS + self.buttons * BUTTON_SECONDS
        return seconds / 60.0


def hydrostatic_row(draft: float) -> dict[str, float]:
    """A box: KB = d/2, BM = B²/12d (closed form)."""
    return {
        "draft": draft,
        "displacement": round(LENGTH * BREADTH * draft * DENSITY, 1),
        "lcb": LENGTH / 2,
        "lcf": LENGTH / 2,
        "km": round(draft / 2 + BREADTH**2 / 12 / draft, 3),
        "tpc": round(LENGTH * BREADTH * DENSITY / 100, 2),
        "mctc": round(DENSITY * BREADTH * LENGTH**2 / 1200, 2),
    }


def kn(draft: float, heel: float) -> float:
    """The wall-sided formula (closed form), taken beyond its range as a figure and no more."""
    phi = radians(heel)
    return round(sin(phi) * (draft / 2 + BREADTH**2 / 12 / draft * (1 + tan(min(phi, 0.6)) ** 2 / 2)), 3)


def tank(number: int) -> dict[str, Any]:
    """One of fifteen pairs: a box of 4 m by 6 m by 3 m with a table every 0.25 m and a printed column."""
    bay, port = divmod(number, 2)
    lcg, tcg = 8.0 + 4.5 * bay, 3.5 if port == 0 else -3.5
    rows = [
        {
            "sounding": 0.25 * k,
            "volume": 6.0 * k,
            "lcg": lcg,
            "vcg": round(0.125 * k, 3),
            "tcg": tcg,
        }
        for k in range(13)
    ]
    return {
        "id": f"{bay + 1}{'PS'[port]}",
        "name": f"No. {bay + 1} {'port' if port == 0 else 'starboard'}",
        "side": "port" if port == 0 else "starboard",
        "contents": "ballast" if bay < 11 else "fuel_oil",
        "capacity": 72.0,
        "lcg": lcg,
        "vcg": 1.5,
        "tcg": tcg,
        "table": {"rows": rows},
        "printed_free_surface": {
            "columns": [
                {
                    "contents": "ballast" if bay < 11 else "fuel_oil",
                    "density": 1.025 if bay < 11 else 0.95,
                    "limit_mass": round(72.0 * 0.98 * (1.025 if bay < 11 else 0.95), 1),
                    "slack_moment": round(72.0 * (1.025 if bay < 11 else 0.95), 1),
                    "limit_moment": 18.5,
                }
            ]
        },
    }


def invented_ship(name: str) -> dict[str, Any]:
    """The ship."""
    drafts = [1.0 + 0.2 * k for k in range(26)]
    levels = [round(draft, 1) for draft in drafts]
    opening = {"id": "V1", "name": "Engine room vent", "x": 12.0, "y": 4.0, "z": 11.0}
    curve_drafts = levels[::2]
    return {
        "name": name,
        "source": {"booklet": "Invented: a box of 80 m by 14 m by 7.5 m"},
        "units": "metric",
        "particulars": {"length_bp": LENGTH, "breadth": BREADTH, "depth": DEPTH},
        "lightship": {"mass": 1100.0, "lcg": 38.2, "vcg": 5.1},
        "hydrostatics": {"density": DENSITY, "rows": [hydrostatic_row(draft) for draft in levels]},
        "cross_curves": {
            "basis": "kn",
            "heels": HEELS,
            "displacements": [hydrostatic_row(draft)["displacement"] for draft in curve_drafts],
            "levers": [[kn(draft, heel) for heel in HEELS] for draft in curve_drafts],
        },
        "tanks": [tank(number) for number in range(30)],
        "openings": [{**opening, "protection": "unprotected"}],
        "wind_profile": [
            {"draft": d, "area": round(LENGTH * (11.0 - d), 1), "centroid_height": round((11.0 + d) / 2, 2)}
            for d in levels[::5]
        ],
        "load_lines": {"summer_draft": 5.6},
        "rule_sets": ["is-code-2008-a-2.2", "is-code-2008-a-2.3"],
    }


def main() -> None:
    """Enter her both ways and print the minutes."""
    port = free_port()
    with (
        tempfile.TemporaryDirectory() as folder,
        server_process(["-m", "service", "serve", "--port", str(port)], port, folder),
    ):
        address = f"http://127.0.0.1:{port}"
        with httpx.Client(
            base_url=address, headers={"Origin": address}, timeout=60, follow_redirects=True, trust_env=False
        ) as browser:
            for name, pasted in (("Every figure by hand", frozenset()), ("Tables pasted", PASTED)):
                began = time.perf_counter()
                effort = enter(browser, invented_ship(f"Invented, {name.lower()}"), pasted)
                seconds = time.perf_counter() - began
                print(
                    f"{name}: {effort.keys} keys, {effort.pastes} pastes, {effort.buttons} buttons: "
                    f"{effort.minutes:.0f} minutes; the service took {seconds:.0f} s of them"
                )


def enter(browser: httpx.Client, ship: dict[str, Any], pasted: frozenset[str]) -> Effort:
    """Type a ship in and add her. Raises RuntimeError where a table is not taken or she is not added."""
    token = TOKEN.search(browser.get("/booklets").text)[1]  # type: ignore[index]
    begun = browser.post("/booklets", data={"token": token, "name": ship["name"], "units": "metric"})
    address = begun.url.path.removesuffix("/ship")
    target, empty = Booklet(ship["name"], ship), Booklet("", {"units": "metric", "name": ""})
    effort = Effort(keys=len(ship["name"]), buttons=1)
    for part in PARTS:
        for sheet in part.sheets:
            if lines_of(sheet, ship) is None:
                continue
            for of in [name for name, count in parents_of(sheet, ship) if count] or [""]:
                grid = grid_of(target, sheet, of)
                fields = {"token": token, "sheet": sheet.slug, "of": of}
                if sheet.slug in pasted:
                    fields |= {
                        "do": "paste",
                        "table": "\n".join("\t".join(c.value for c in row) for row in grid),
                    }
                    effort.pastes += 1
                else:
                    cells = {f"c:{r}:{k}": c for r, row in enumerate(grid) for k, c in enumerate(row)}
                    fields |= {"do": "save", **{name: cell.value for name, cell in cells.items()}}
                    effort.keys += sum(
                        2 if cell.choices else len(cell.value) + 1
                        for cell in cells.values()
                        if cell.value and not cell.kind
                    )
                    lines = len(grid) - len(grid_of(empty, sheet)) if sheet.parent is None else len(grid) - 10
                    effort.buttons += max(0, -(-lines // 20)) if sheet.shape not in ("form", "columns") else 0
                effort.buttons += 1
                answer = browser.post(f"{address}/{part.slug}", data=fields)
                if answer.status_code != 200:
                    raise RuntimeError(f"{sheet.slug} {of}: {answer.status_code}")
    reason = "From her booklet on paper"
    added = browser.post(f"{address}/add", data={"token": token, "reason": reason})
    if not added.url.path.startswith("/vessels/"):
        raise RuntimeError(f"she was not added: {re.sub('<[^>]*>', ' ', added.text)[:2000]}")
    effort.keys += len(reason)
    effort.buttons += 1
    return effort


if __name__ == "__main__":
    main()
