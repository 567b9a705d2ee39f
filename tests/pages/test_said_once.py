"""What many tanks or criteria have in common is said once, with names and units, and drawings hold their own words."""

import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from service.pages.change_in_words import aboard_in_words, is_aboard, named_in_words
from service.pages.drawings.gm_ledger import gm_ledger
from service.pages.drawings.righting_lever_plot import LETTER, WIDTH, righting_lever_plot
from service.pages.fleet_rows import what_is_wrong
from service.pages.report.sheet import sheet_data
from service.pages.wording import ago, findings_in_groups, ids_as_names, reasons_of_several, with_sign
from tests.api.office import condition_document
from tests.pages.conftest import assessment
from tests.pages.harbour import Harbour, text_of_page
from tests.pages.test_what_is_missing import OFF_DISPLACEMENT, weights


def finding(code: str, message: str, severity: str = "caution") -> dict[str, Any]:
    return {"code": code, "severity": severity, "path": "/condition", "message": message}


@pytest.mark.parametrize("count", [3, 4, 40])
def test_many_findings_of_a_kind_are_folded_behind_the_first(count: int) -> None:
    partners = [finding("partner", f"its partner t{i} is not mentioned") for i in range(count)]
    answer: Any = {"findings": [*partners, finding("list", "she lists", "danger")], "tanks": []}
    rows = findings_in_groups(answer, ("danger", "caution"))
    assert rows[0][1]["code"] == "list", "the gravest first"
    assert len(rows) == (4 if count == 3 else 2)
    assert sum(1 + len(others) for _, _, others in rows) == count + 1, "none is lost"


def test_ids_in_findings_are_names() -> None:
    names = {"wb-1-p": "No. 1 wing tank port", "wb-1-s": "No. 1 wing tank starboard"}
    assert ids_as_names("its partner wb-1-s is not mentioned", names) == (
        "its partner No. 1 wing tank starboard is not mentioned"
    )
    said = "not mentioned and taken as empty: wb-1-p, wb-1-s."
    assert ids_as_names(said, names).endswith("empty: No. 1 wing tank port, No. 1 wing tank starboard")
    for message in ("over load line mark S", "not mentioned: wb-1-p, somewhere"):
        assert ids_as_names(message, names) == message


def test_a_reason_of_many_criteria_stands_once_under_each_picture(harbour: Harbour) -> None:
    condition = harbour.enter(weights=weights(OFF_DISPLACEMENT))
    with harbour.reader("ship") as reader:
        text = text_of_page(reader.get(f"/conditions/{condition}"))
    kept = harbour.http.get(f"/v1/conditions/{condition}", headers=harbour.bearer("ship")).json()
    rows = kept["assessment"]["criteria"]
    several = reasons_of_several(rows)
    reason, verdict = next(iter(several.items()))
    undecided = [row for row in rows if row["verdict"] == verdict]
    assert verdict == "not_computable"
    assert len(undecided) > 12
    body = text.partition("Every criterion in full")[0]
    assert body.count(f"not computable: {reason}") + body.count(f"Not computable: {reason}") < 8
    assert body.count("not computable") >= len(undecided)
    assert body.index("not computed: displacement") < body.index("No listed rule set judges anything")
    assert "GM not known" in body


def test_empty_tanks_that_are_only_named_are_no_change_aboard() -> None:
    empty = {"volume": 0.0, "mass": 0.0, "density": 1.025, "state": "empty", "contents": "ballast"}
    names = [f"No. {i} tank" for i in range(1, 22)]
    named = [{"name": n, "change": "added", "members": [], "before": None, "after": empty} for n in names]
    filled = {
        **named[0],
        "name": "Fore peak",
        "after": {**empty, "volume": 5.0, "mass": 5.1, "state": "slack"},
    }
    changes: Any = [*named, filled]
    assert [c["name"] for c in changes if is_aboard(c)] == ["Fore peak"]
    assert named_in_words(changes) == [f"21 empty tanks named as empty now: {', '.join(names)}"]
    gone: Any = [{**c, "before": c["after"], "after": None} for c in named[:1]]
    assert named_in_words(gone, names=False) == ["1 empty tank not named any more, so taken as empty"]
    letter: Any = {
        "tanks": changes, "weights": [], "other": [], "rule_sets": [], "vessel_changes": [],
        "units": {"system": "metric"},
    }  # fmt: skip
    assert aboard_in_words(letter) == (
        "Fore peak now named: 5.0 m³, slack; 21 empty tanks named as empty now."
    )


@pytest.mark.parametrize(
    ("shown", "signed"),
    [
        ("0.024 m", "+0.024 m"),
        ("−0.024 m", "−0.024 m"),
        ("0.000 m", "0.000 m"),
        ("—", "—"),
        ("1.0°", "+1.0°"),
    ],
)
def test_a_change_has_its_sign(shown: str, signed: str) -> None:
    assert with_sign(shown) == signed


def test_how_long_ago() -> None:
    now = datetime(2026, 11, 27, 8, 0, tzinfo=UTC)
    assert ago((now - timedelta(minutes=2)).isoformat(), now) == "2 minutes ago"
    assert ago(now.isoformat(), now) == "just now"


@pytest.mark.parametrize(("name", "ship"), [("timber-loll", "halvenmoor"), ("lifting-frame", "ostrel")])
@pytest.mark.parametrize("units", ["metric", "us"])
def test_figures_of_areas_stay_on_the_sheet(name: str, ship: str, units: str) -> None:
    """Behind each bracket, as wide as the broadest of the system fonts makes them on a phone."""
    answer: Any = assessment(name, ship)
    drawn = str(righting_lever_plot(answer))
    labels = re.findall(r'<text x="([\d.]+)"[^>]*>([^<]*, needs [^<]*)</text>', drawn)
    assert len(labels) == 3
    assert all(float(x) + LETTER * len(words) <= WIDTH + 0.5 for x, words in labels)
    unit = re.search(r'<text x="([\d.]+)" y="[\d.]+" class="[^"]*" text-anchor="end">m·rad', drawn)
    if unit is not None:
        assert float(unit[1]) <= 38.0 - 5.0, "clear of the brackets"


def test_a_long_name_is_cut_in_the_ledger_and_whole_in_the_table() -> None:
    tanks = condition_document("everything-slack")["tanks"]
    answer: Any = assessment("everything-slack", tanks=tanks)
    for tank in answer["tanks"]:
        tank["name"] = f"The very long name of a tank that nobody could read, {tank['name']}"
    drawn = str(gm_ledger(answer))
    words = re.findall(r'<text x="([\d.]+)"([^>]*)>(The very[^<]*)</text>', drawn)
    assert words
    for x, tag, text in words:
        room = float(x) if 'text-anchor="end"' in tag else WIDTH - float(x)
        assert "… −" in text
        assert len(text) * 6.2 <= room + 1.0


def test_a_plan_that_fails_by_her_own_curve_later_says_so(harbour: Harbour) -> None:
    condition = harbour.enter_plan()
    lines = harbour.http.get("/v1/conditions", headers=harbour.bearer("ship")).json()["items"]
    line = next(one for one in lines if one["id"] == condition)
    assert line["least_stability_margin"]["margin"] > 0.0
    assert line["smallest_margin"]["criterion"].startswith("vessel-gm-limits")
    assert what_is_wrong(line) == "GM short on the way"


def test_the_report_says_once_what_many_tanks_have_in_common() -> None:
    answer: Any = assessment("departure-homogeneous", weights=weights(OFF_DISPLACEMENT))
    partners = [finding("partner", f"its partner t{i} is not mentioned") for i in range(9)]
    answer["findings"] = partners
    document: Any = {"weights": [], "units": "metric"}
    record: Any = {
        "assessment": answer, "document": document, "created": "2026-11-27T08:00:00Z", "revision": 1,
        "author": {"name": "A"}, "condition": "c", "digest": "d" * 64, "vessel_revision": 1,
        "vessel_digest": "e" * 64, "reason": None,
    }  # fmt: skip
    data = sheet_data(record, [], 1)
    assert data["findings"] == [["Take care:", "Its partner t0 is not mentioned. 8 more like this."]]
    assert data["figures"][0][:3] == ["GM", "not known", ""]
    reasons = [row["cells"][1] for row in data["criteria"]["rows"] if row["cells"][0] == "not computable"]
    assert sum("lies outside the table" in name for name in reasons) == 1
    assert sum(name.endswith(": the same.") for name in reasons) == len(reasons) - 1
