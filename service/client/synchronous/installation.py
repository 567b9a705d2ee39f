"""Calls about the installation: what it knows, whether it lives, keys, the audit log."""

from collections.abc import Iterator
from typing import cast

from service.client.answers import StoredRecord
from service.client.attempts import json_of
from service.client.documents import JSON, Document, Filter, address, parameters, text_of
from service.client.synchronous.connection import Connection, stored_record
from service.wire.audit import AuditLine
from service.wire.changelog import Changelog
from service.wire.finding import FindingKinds
from service.wire.health import Alive, Version
from service.wire.key import Key, NewKey
from service.wire.named_fleet import NamedFleet
from service.wire.problem_kind import ProblemKind, ProblemKinds
from service.wire.rule_set import RuleSetDescription, RuleSetList


class InstallationCalls(Connection):
    """What is not of one ship."""

    def get_version(self) -> Version:
        """What is running."""
        return cast(Version, self._get("/version"))

    def get_livez(self) -> Alive:
        """Whether the process answers."""
        return cast(Alive, self._get("/livez"))

    def get_readyz(self) -> Alive:
        """Whether requests should be sent there; raises `Refused` when not."""
        return cast(Alive, self._get("/readyz"))

    def get_metrics(self) -> str:
        """Counts and times for monitoring, in the exposition format of Prometheus."""
        return (self._send("GET", "/metrics")).text

    def get_changelog(self) -> Changelog:
        """What changed in the published language, and what will."""
        return cast(Changelog, self._get("/v1/changelog"))

    def list_problems(self) -> ProblemKinds:
        """Every kind of problem."""
        return cast(ProblemKinds, self._get("/problems"))

    def get_problem(self, code: str) -> ProblemKind:
        """One kind of problem, by its code."""
        return cast(ProblemKind, self._get(address("problems", code)))

    def get_findings(self) -> FindingKinds:
        """What an assessment may point out besides the criteria."""
        return cast(FindingKinds, self._get("/v1/findings"))

    def list_rule_sets(self) -> RuleSetList:
        """Every rule set the service knows."""
        return cast(RuleSetList, self._get("/v1/rule-sets"))

    def get_rule_set(self, name: str) -> RuleSetDescription:
        """One rule set by its public name. Raises `Refused` for an unknown one."""
        return cast(RuleSetDescription, self._get(address("v1", "rule-sets", name)))

    def list_audit(self, **filters: Filter) -> Iterator[AuditLine]:
        """Which key wrote what, when and from where, newest first."""
        return self._pages("/v1/audit", parameters(**filters))

    def list_keys(self, **filters: Filter) -> Iterator[Key]:
        """All access keys, without their secrets."""
        return self._pages("/v1/keys", parameters(**filters))

    def add_key(self, request: Document) -> NewKey:
        """Make an access key. The answer alone shows its token. Where the connection is lost after the request was
        sent, this is not done again: look at `list_keys` then."""
        headers = {"Content-Type": JSON}
        answer = self._send("POST", "/v1/keys", repeatable=False, content=text_of(request), headers=headers)
        return cast(NewKey, json_of(answer))

    def get_key(self, key: str) -> Key:
        """One access key."""
        return cast(Key, self._get(address("v1", "keys", key)))

    def set_key_scope(self, key: str, vessels: list[str] | None, *, fleets: list[str] | None = None) -> Key:
        """Give an access key other vessels, None for all of them, and the fleets it may see besides."""
        headers = {"Content-Type": JSON}
        path = address("v1", "keys", key, "scope")
        scope = {"vessels": vessels} if fleets is None else {"vessels": vessels, "fleets": fleets}
        answer = self._send("PUT", path, content=text_of(scope), headers=headers)
        return cast(Key, json_of(answer))

    def list_named_fleets(self, **filters: Filter) -> Iterator[NamedFleet]:
        """Fleets: named sets of ships that keys may have as their scope."""
        return self._pages("/v1/fleets", parameters(**filters))

    def get_named_fleet(self, fleet: str) -> StoredRecord[NamedFleet]:
        """One fleet."""
        return self._read(address("v1", "fleets", fleet))

    def set_named_fleet(
        self, fleet: str, name: str, vessels: list[str], etag: str | None = None
    ) -> StoredRecord[NamedFleet]:
        """Make a fleet, or with `etag` set the one seen in that state. Raises `Refused` when it is stale. Where the
        connection is lost after the request was sent, this is not done again: read what is there then."""
        path, text = address("v1", "fleets", fleet), text_of({"name": name, "vessels": vessels})
        headers = {"Content-Type": JSON} if etag is None else {"Content-Type": JSON, "If-Match": etag}
        return stored_record(self._send("PUT", path, repeatable=False, content=text, headers=headers))

    def revoke_key(self, key: str) -> Key:
        """Revoke an access key."""
        return cast(Key, json_of(self._send("DELETE", address("v1", "keys", key))))
