"""Sentences of the pages: what an answer says, in the words of the trade."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any, Final

from service.translation.calculation_version import CALCULATION_VERSION
from service.wire.assessment import Assessment, Criterion, Finding
from service.wire.fields import UnitSystem
from service.wire.figures import NOTHING, figure_in
from service.wire.verdict_words import load_line_margin, stability_margin, verdict_words

MANY: Final = 3
"""Findings of one kind that stand one under the other; more are folded behind the first."""
_PARTNER: Final = re.compile(r"partner (\S+)")
_ORDER = {"fail": 0, "not_computable": 1, "outside_validity": 1, "pass": 2, "not_applicable": 3}


def listed_verdict(line: Mapping[str, Any], system: UnitSystem) -> str:
    """The verdict as one line of a list says it: the word, dangers, and both margins of what was kept."""
    parts = [verdict_words(line["verdict"], line["dangers"], line.get("phase"))]
    margin = stability_margin(line["least_stability_margin"], system)
    if margin:
        of_judged = " of what was judged" if line["verdict"] == "incomplete" else ""
        parts.append(f"least stability margin{of_judged} {margin}")
    parts += [
        load_line_margin(line["load_line_margin"], system),
        older_calculation(line["calculation_version"]),
    ]
    return "; ".join(part for part in parts if part)


def older_calculation(version: str) -> str:
    """The version in words, "calculation 1.0.0", where it is not today's; empty where it is."""
    return "" if version == CALCULATION_VERSION else f"calculation {version}"


def nearest(answer: Assessment) -> Criterion | None:
    """The criterion of the least stability margin; of an answer that has none, the one it called nearest."""
    margin = answer["least_stability_margin"] or answer["smallest_margin"]
    if margin is None:
        return None
    return next((c for c in answer["criteria"] if c["id"] == margin["criterion"]), None)


def in_order_of_concern(criteria: Sequence[Criterion]) -> list[Criterion]:
    """Fails first, then what was not decided, then the rest, each from the smallest share of its limit."""
    return sorted(criteria, key=lambda c: (_ORDER[c["verdict"]], share_of_limit(c)))


def share_of_limit(criterion: Criterion) -> float:
    """Margin over limit; infinite where there is none."""
    margin, limit = criterion["margin"], criterion["limit"]
    return float("inf") if margin is None or not limit else margin / abs(limit)


def fails(answer: Assessment) -> list[Criterion]:
    """The criteria that fail and count, the worst first."""
    return [c for c in in_order_of_concern(answer["criteria"]) if c["verdict"] == "fail" and c["counts"]]


def required(criterion: Criterion) -> str:
    """The requirement with its sign in words: "at least 0.150 m"; a dash where there is none."""
    if criterion["limit"] is None:
        return NOTHING
    sign = "at least" if criterion["comparison"] == ">=" else "at most"
    return f"{sign} {figure_in(criterion['limit'], criterion['unit'])}"


def tank_findings(answer: Assessment) -> dict[str, list[Finding]]:
    """Findings by the id of the tank they concern."""
    found: dict[str, list[Finding]] = {}
    for finding in answer["findings"]:
        steps = finding["path"].split("/")
        if steps[:3] == ["", "condition", "tanks"] and len(steps) > 3 and steps[3].isdigit():
            place = int(steps[3])
            if place < len(answer["tanks"]):
                found.setdefault(answer["tanks"][place]["tank"], []).append(finding)
    return found


def tank_names(vessel: Mapping[str, Any]) -> dict[str, str]:
    """What each tank of a vessel's document is called, by its id."""
    return {tank["id"]: tank["name"] for tank in vessel["tanks"]}


def findings_with_tank(answer: Assessment) -> list[tuple[str, Finding]]:
    """Every finding with the name of the tank it concerns (empty: none alone), the gravest first."""
    own = {id(f): tank for tank, findings in tank_findings(answer).items() for f in findings}
    names = {t["tank"]: t["name"] for t in answer["tanks"]}
    rank = {"danger": 0, "caution": 1, "info": 2}
    found = [(names[own[id(f)]] if id(f) in own else "", f) for f in answer["findings"]]
    return sorted(found, key=lambda pair: rank[pair[1]["severity"]])


def findings_said_once(
    answer: Assessment, severities: Sequence[str], weights: Sequence[Mapping[str, Any]] = ()
) -> list[tuple[str, Finding]]:
    """Findings of those severities, the gravest first, each message once with the names of all it concerns.

    weights: those of the document, for findings that are about one of them; the same length as in it."""
    said: dict[tuple[str, str], tuple[list[str], Finding]] = {}
    for tank, finding in findings_with_tank(answer):
        if finding["severity"] not in severities:
            continue
        name = tank or _weight_of(finding, weights)
        names, _ = said.setdefault((finding["severity"], finding["message"]), ([], finding))
        if name and name not in names:
            names.append(name)
    return [(", ".join(names), finding) for names, finding in said.values()]


def findings_in_groups(
    answer: Assessment, severities: Sequence[str], weights: Sequence[Mapping[str, Any]] = ()
) -> list[tuple[str, Finding, list[tuple[str, Finding]]]]:
    """The same with all others of its kind behind the first one, where there are more than MANY of a kind."""
    found = findings_said_once(answer, severities, weights)
    counts = Counter((finding["severity"], finding["code"]) for _, finding in found)
    rows: list[tuple[str, Finding, list[tuple[str, Finding]]]] = []
    first: dict[tuple[str, str], list[tuple[str, Finding]]] = {}
    for name, finding in found:
        kind = finding["severity"], finding["code"]
        if kind in first:
            first[kind].append((name, finding))
            continue
        others: list[tuple[str, Finding]] = []
        if counts[kind] > MANY:
            first[kind] = others
        rows.append((name, finding, others))
    return rows


def reasons_of_several(rows: Sequence[Criterion]) -> dict[str, str]:
    """Reasons that more than one undecided criterion has, each with its verdict: they are said once, above them."""
    undecided = [row for row in rows if row["verdict"] not in ("pass", "fail")]
    counts = Counter(row["reason"] for row in undecided)
    return {row["reason"]: row["verdict"] for row in undecided if counts[row["reason"]] > 1}


def ids_as_names(message: str, names: Mapping[str, str]) -> str:
    """A message with the names of tanks in the place of their ids: of a partner, and of a list behind a colon."""
    head, colon, rest = message.partition(": ")
    if colon and all(id in names for id in rest.rstrip(".").split(", ")):
        return f"{head}: {with_names(rest.rstrip('.'), names)}"
    return _PARTNER.sub(lambda found: f"partner {names.get(found[1], found[1])}", message)


def _weight_of(finding: Finding, weights: Sequence[Mapping[str, Any]]) -> str:
    """The name of the weight that a finding is about; empty where it is about none."""
    steps = finding["path"].split("/")
    if steps[:3] != ["", "condition", "weights"] or len(steps) < 4 or not steps[3].isdigit():
        return ""
    place = int(steps[3])
    return str(weights[place].get("name") or "") if place < len(weights) else ""


def flooding_in_words(answer: Assessment) -> str:
    """What floods first, as a sentence; empty where she has no curve."""
    curve = answer["righting_lever"]
    if curve is None:
        return ""
    flooding = curve["down_flooding"]
    if not flooding["known"]:
        return "Down-flooding is not known: the vessel document names no openings."
    return (
        "No opening floods within the cross curves."
        if flooding["angle"] is None
        else f"{flooding['name']} floods first."
    )


def with_names(message: str, names: Mapping[str, str]) -> str:
    """A list of ids as names, where all of it is ids that are known."""
    ids = message.split(", ")
    return ", ".join(names[id] for id in ids) if all(id in names for id in ids) else message


def in_two(message: str) -> tuple[str, str]:
    """A long message as what it says and the list it says it of; the second part empty where it is short."""
    head, colon, rest = message.partition(": ")
    return (head, rest) if colon and len(message) > 120 and rest.count(", ") > 3 else (message, "")


def moment(text: str | None) -> str:
    """A time of the record (RFC 3339, UTC) as people write it: "12 March 2026, 10:20 UTC"."""
    if not text:
        return "—"
    at = datetime.fromisoformat(text).astimezone(UTC)
    return f"{at.day} {at:%B %Y, %H:%M} UTC"


def short_moment(text: str | None) -> str:
    """The same in short: "12 Mar 2026, 10:20"."""
    if not text:
        return "—"
    at = datetime.fromisoformat(text).astimezone(UTC)
    return f"{at.day} {at:%b %Y, %H:%M}"


def age(text: str | None, now: datetime) -> str:
    """How long ago, in the largest whole unit: "3 hours", "12 days"."""
    if not text:
        return "—"
    seconds = max(0.0, (now - datetime.fromisoformat(text)).total_seconds())
    for size, word in ((86400.0, "day"), (3600.0, "hour"), (60.0, "minute")):
        if seconds >= size:
            count = int(seconds // size)
            return f"{count} {word}{'' if count == 1 else 's'}"
    return "just now"


def ago(text: str | None, now: datetime) -> str:
    """The same behind what happened: "3 hours ago", "just now"."""
    long = age(text, now)
    return long if long in ("—", "just now") else f"{long} ago"


def with_sign(shown: str) -> str:
    """A change as it is printed, with a plus where it is more than nothing."""
    return f"+{shown}" if shown[:1].isdigit() and re.search("[1-9]", shown.split(" ")[0]) else shown


def sentence(text: str) -> str:
    """`text` with a capital at its start and a stop at its end."""
    text = text.strip()
    if not text:
        return text
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?" else ".")


def lower_first(text: str) -> str:
    """`text` as it goes on after a colon: its first letter small, unless an abbreviation stands there."""
    return text if text[:2].isupper() else text[:1].lower() + text[1:]


def share_words(count: int, one: str, many: str) -> str:
    """A count with its noun."""
    return f"{count} {one if count == 1 else many}"


def proof_in_words(answer: Assessment) -> str:
    """What stands behind the revision of her data: how her printed conditions prove it; empty where nothing is said."""
    proof = answer["provenance"]["vessel"].get("proof")
    if proof is None:
        return ""
    count = f"{proof['conditions']} printed condition{'' if proof['conditions'] == 1 else 's'}"
    return {
        "none": ", not proved by printed conditions",
        "thin": f", proved with {count} only",
        "proved": f", proved with {count}",
        "off": f", contradicted by her {count}",
        "incomplete": f", its proof by {count} incomplete",
    }[proof["state"]]


_NOT_PROVED = {
    "none": "no condition that her booklet prints is entered",
    "thin": "fewer than four of its printed conditions are entered",
    "off": "figures that her booklet prints are contradicted",
    "incomplete": "some figures that her booklet prints could not be computed",
    None: "no proof was made when this was judged",
}


def proof_asked(state: str | None) -> str:
    """Why her data are not proved, for an installation that asks for a proof; empty where they are."""
    if state == "proved":
        return ""
    return (
        "This installation asks that her data be proved by the conditions her booklet prints, and they are not: "
        f"{_NOT_PROVED[state]}. The verdict does not depend on it."
    )
