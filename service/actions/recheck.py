"""The archive judged again: which revisions, by what, and the task that a worker does. Nothing is kept."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import orjson

from service.actions.access import Caller
from service.actions.assess import Assessor
from service.actions.reassess import conditions_to_recheck, reassess_kept
from service.actions.records.transactions import Records
from service.storage import ConditionRevision
from service.translation.rule_sets import is_rule_set
from service.wire.refusal import Refusal

CONDITIONS_READ_TOGETHER = 64
MOVED_OF_A_ROW = 20


@dataclass(frozen=True)
class ArchiveQuestion:
    """What is judged again. vessels: ids, every active one where empty. by_latest_data: by the latest data of each
    vessel instead of those of then."""

    vessels: tuple[str, ...] = ()
    all_revisions: bool = False
    by_latest_data: bool = False
    rule_sets: tuple[str, ...] = ()

    def in_words(self) -> str:
        """What tells two questions apart whose answers differ."""
        return f"recheck {' '.join(sorted(self.rule_sets))}".strip()


@dataclass(frozen=True, slots=True)
class KeptRevision:
    """A kept revision and the number of her vessel's data it is judged by."""

    kept: ConditionRevision
    vessel_revision: int

    @property
    def size(self) -> int:
        """Characters of its texts."""
        return len(self.kept.document) + len(self.kept.assessment)

    @property
    def request(self) -> bytes:
        """What tells it from every other: its digest covers what it says and by which data it was judged."""
        return f"{self.kept.digest} {self.vessel_revision}".encode()


@dataclass(frozen=True, slots=True)
class Rechecks:
    """Kept revisions to judge again, for a worker."""

    wanted: list[KeptRevision]
    rule_sets: tuple[str, ...]

    @property
    def vessels(self) -> tuple[tuple[str, int], ...]:
        """Id and revision of the vessels they name."""
        return tuple(dict.fromkeys((each.kept.vessel, each.vessel_revision) for each in self.wanted))

    def results(self, assessor: Assessor) -> Iterator[bytes | Exception]:
        """One report or exception each, as JSON."""
        for each in self.wanted:
            try:
                yield recheck_text(assessor, each, self.rule_sets)
            except Exception as fault:  # noqa: BLE001 - whatever one meets, the others are judged
                yield fault


def recheck_text(assessor: Assessor, each: KeptRevision, rule_sets: Sequence[str]) -> bytes:
    """The report of one revision as JSON, with the first of the numbers that moved."""
    item, _ = reassess_kept(assessor, each.kept, each.vessel_revision, rule_sets)
    return orjson.dumps({**item, "moved": item["moved"][:MOVED_OF_A_ROW]})


def count_to_recheck(records: Records, caller: Caller, question: ArchiveQuestion) -> int:
    """How many revisions a question is about. Raises Refusal for a vessel or rule set that is not known."""
    caller.require("assess")
    for name in question.rule_sets:
        if not is_rule_set(name):
            raise Refusal("unknown_rule_set", f"There is no rule set {name[:64]}.")
    total = 0
    with records.reading() as tx:
        for vessel in question.vessels or (None,):
            if vessel is not None:
                caller.require_vessel(vessel)
                tx.vessels.get(vessel)
            counts = tx.conditions.count(conditions_to_recheck(caller.vessels, vessel))
            total += counts[1 if question.all_revisions else 0]
    return total


def kept_revisions(records: Records, caller: Caller, question: ArchiveQuestion) -> Iterator[KeptRevision]:
    """The revisions a question is about, vessel by vessel, the condition entered last first.

    A few conditions in one read transaction: what is entered meanwhile may be missing."""
    for vessel in question.vessels or (None,):
        before: str | None = None
        while True:
            heads, found = _read_together(records, caller, question, vessel, before)
            yield from found
            if len(heads) < CONDITIONS_READ_TOGETHER:
                break
            before = heads[-1]


def _read_together(
    records: Records, caller: Caller, question: ArchiveQuestion, vessel: str | None, before: str | None
) -> tuple[list[str], list[KeptRevision]]:
    wanted = conditions_to_recheck(caller.vessels, vessel)
    latest: dict[str, int] = {}
    found = []
    with records.reading() as tx:
        heads = tx.conditions.list(wanted, before=before, limit=CONDITIONS_READ_TOGETHER)
        for head in heads:
            oldest = 1 if question.all_revisions else head.head_number
            if question.by_latest_data and head.vessel not in latest:
                latest[head.vessel] = tx.vessels.get(head.vessel).head_number
            for number in range(head.head_number, oldest - 1, -1):
                kept = tx.conditions.revision(head.id, number)
                found.append(KeptRevision(kept, latest.get(head.vessel, kept.vessel_revision)))
    return [head.id for head in heads], found
