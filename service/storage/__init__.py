"""Vessels, conditions and their history in SQLite or PostgreSQL: nothing lost, nothing silently changed.

    migrate(url)                                    create or upgrade the schema; before anything else
    migrate_for(url, role)                          the same by its owner, with the rights of the role that serves
    storage = Storage(url)                          one per process; `storage.close()` at the end
    with storage.transaction() as tx: ...           a snapshot to read
    with storage.transaction(write=True) as tx: ... the writing one; kept when the `with` statement is left

Texts come in as canonical JSON (`canonical(value)`), times as text (`as_text(datetime)`, `now()`), ids are
texts made here. Lists are keyset pages: hand the id or number of the last item to `after` or `before`.
`vessels=` in lists is the scope of the caller: a collection of ids, None for all.

    tx.now                                          time of everything kept in this transaction
    tx.vessels
      create(VesselEntry) -> VesselRevision         revision 1
      append(id, VesselEntry, expected=digest)      NotFound, Stale(number, digest)
      get(id) -> Vessel                             head: head_number, head_digest, name ...
      revision(id, number=None) -> VesselRevision   None: the latest
      history(id, before=, limit=) -> [VesselRevisionLine]           newest first, no documents
      with_imo_number(imo_number) -> id | None; list(vessels=, name=, imo_number=, reference=, updated_after=,
      updated_before=, state=, after=, limit=) -> [Vessel]
    tx.conditions
      create(vessel, ConditionEntry, id=None) -> ConditionRevision   NotFound for the vessel's revision
      append(id, ConditionEntry, expected=digest) -> ConditionRevision
      get(id) -> Condition                          head: verdict, dangers, review_state ...
      revision(id, number=None) -> ConditionRevision                 with document and assessment
      history(id, before=, limit=) -> [ConditionHistoryLine]         newest first, review_state, no texts
      list(Filter(...), before=, limit=) -> [Condition]              newest condition first
      count(Filter(...)) -> (conditions, revisions)
      figures_in_feed(after, last) -> {(condition, number): ConditionFigures}     of revisions the feed names
    tx.reviews
      append(condition, revision, ReviewEntry) -> Review             NotFound, OwnRevision
      of(condition, revision=None) -> [Review]
    tx.states
      append(condition, StateEntry) -> ConditionState                taking force puts the former one aside
      append_vessel(vessel, StateEntry) -> VesselState
      of(condition, limit=None) -> [ConditionState]; of_vessel(...)  newest first; in_force(vessel) -> id | None
    tx.fleet
      list(vessels=, vessel=, verdict=, ..., state=, search=, proof=, after=, limit=, sorting=) -> [FleetLine]
      worked_on(vessels) -> [WorkedOn]; count_answered(since, vessels) -> int
    tx.fleet_figures
      behind(most) -> [(id, number, document, answer)]; write(id, number, FleetFigures)
    tx.proofs
      get(vessel) -> KeptProof | None; keep(vessel, revision, digest, ...); behind(calculation_version) -> [vessel]
    tx.changes
      after(number, limit=, vessels=) -> [Change]   the gap-free feed; `head() -> Head(id, digest, created)`
    tx.keys
      add(id, name=, role=, secret_hash=, vessels=, fleets=, expires=, created_by=) -> Key
      get(id) -> Key; list(); revoke(id); rescope(id, vessels, fleets); touch(id); any(), any_in_use() -> bool
    tx.named_fleets                                 sets of ships that keys may name
      find(id) -> NamedFleet | None; get(id); list(after=, limit=); put(id, name=, vessels=); scope(vessels, fleets)
    tx.pepper
      last() -> PepperCheck | None; append(value)
    tx.idempotency
      find(key_id, idempotency_key) -> RepeatableAnswer | None; keep(...); purge(before) -> int
    tx.webhooks
      add(key_id, url=, events=, ...) -> Webhook; get(id); list(key_id=, after=, limit=); change(id, values); delete(id)
      listeners() -> {id: Listener}                 active, with the vessels their keys see
    tx.deliveries                                   their outbox; rows are added when a writing transaction ends
      add_test(webhook) -> Delivery
      clock(); with_due(clock) -> [webhook]; claim(webhook, owner, clock=, until=, most=) -> [Delivery]; finish(id, ...)
      list(webhook, state=, before=, limit=); again(webhook, ids) -> int; next_attempt(); release(owner); purge(before)
    tx.feed_addresses
      of_key(key_id), by_id(id) -> FeedAddress | None; make(key_id, id, secret_hash); remove(key_id); working_key(...)
    tx.mail                                         its outbox; rows are added when a writing transaction ends
      reader(key_id) -> MailReader | None; keep_reader(...), remove_reader(key_id); working() -> {key: ReaderInScope}
      readers() -> [MailReader]
      due(clock) -> [key]; claim(key, owner, ...) -> [Mail]; finish(mails, owner, values); release(owner); purge(before)
    tx.sign_ins                                     of people without a key; mail to them follows the last one
      get(key_id) -> SignIn | None; keep(SignIn), remove(key_id); before(moment) -> [key_id]; ending(moment)
      note_reminded(key_id)
    tx.references
      find(key_id, kind, reference) -> id | None; keep(key_id, kind, reference, id)
    tx.unfinished
      get(vessel, name), last(vessel, name), of_vessel(vessel), count(vessel); write(UnfinishedEntry)
      purge(before, kept)
    tx.visits
      get(key_id) -> Visit | None; keep(Visit)
    tx.unfinished_booklets
      get(owner, id), of_owner(owner), count(owner); begin(...), write(before, ...); remove(owner, id), purge(before)
    tx.audit
      append(AuditEntry); list(vessel=, key_id=, before=, limit=) -> [AuditLine]

Care of the whole: `verify(storage, head=None) -> Verified`, raises Broken; `cover(connection, now)` for rows of an
older release; `export_history(tx, condition)` and `import_history(tx, text)`; `backup(url, file)` and
`restore(file, url, replace=, head=)` for SQLite; `storage.occupy()` for a server at its start, `storage.facts()`,
`storage.schema_revision()` beside `newest()` and `usable(schema)`.

A POST that may be repeated: in one writing transaction `find`, compare the fingerprint, else do the work and
`keep`. Writers come one at a time on both engines, so compute an assessment before the writing transaction,
not inside it.

Every method raises the errors of `errors` (drawn there as a tree) and nothing else of the database.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from .canonical import canonical
from .digest import sha256

__all__ = ["canonical", "sha256"]  # the others: `exports.py`

if TYPE_CHECKING:
    from .exports import *  # noqa: F403
else:

    def __getattr__(name: str) -> Any:
        """Whatever reaches a database, with SQLAlchemy: a process that only computes does without."""
        return getattr(import_module(".exports", __name__), name)
