"""Requests made from the published description with keys of each role: no server error, no status that is not
described, no body of another shape. Half of the requests name records that are there.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from schemathesis.checks import (
    content_type_conformance,
    not_a_server_error,
    response_schema_conformance,
    status_code_conformance,
)

import tests.api.media_types  # noqa: F401 - serializers
from service.storage import Storage, verify
from tests.api.office import Office, running_office

ROLES = ("ship", "reviewer", "integrator", "administrator")
CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]
ELSEWHERE = (
    "/v1/assessments",
    "/livez",
    "/readyz",
    "/version",
    "/metrics",
    "/problems",
    "/v1/rule-sets",
    "/v1/findings",
)
MODES = (schemathesis.GenerationMode.POSITIVE, schemathesis.GenerationMode.NEGATIVE)


@dataclass(frozen=True)
class Field:
    """A service with records, a key of each role, and what records are called."""

    office: Office
    headers: dict[str, dict[str, str]]
    names: dict[str, str | int]


@pytest.fixture(scope="module")
def field(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Field]:
    database = f"sqlite:///{tmp_path_factory.mktemp('field')}/records.db"
    with running_office(database) as office:
        vessel = office.enter_vessel()
        condition, _ = office.enter_condition(vessel)
        headers = {role: office.key(role) for role in ROLES}
        spare = office.token("integrator").split("_")[1]
        yield Field(
            office, headers, {"vessel": vessel, "condition": condition, "key": spare, "number": 1, "point": 0}
        )
    storage = Storage(database)
    verify(storage)
    storage.close()


@pytest.mark.parametrize(
    "role",
    [pytest.param(role, marks=() if role == "ship" else pytest.mark.long) for role in ROLES],
)
def test_no_server_error_and_nothing_undescribed(field: Field, role: str) -> None:
    schema = schemathesis.openapi.from_dict(field.office.http.get("/openapi.json").json())
    tried = set()
    for result in schema.get_all_operations():
        operation = result.ok()
        if operation.path.startswith(ELSEWHERE):
            continue
        cases = st.one_of([operation.as_strategy(generation_mode=mode) for mode in MODES])

        few = 1 if operation.path.endswith("workbook") else 2  # each is read in a process of its own

        @settings(
            max_examples=6 if role == "administrator" and few == 2 else few,
            deadline=None,
            derandomize=True,
            suppress_health_check=list(HealthCheck),
        )
        @given(case=cases, named=st.booleans())
        def run(case: Any, named: bool) -> None:
            if named:
                _name_what_is_there(field, case)
            tried.add(case.operation.label)
            case.call_and_validate(base_url=field.office.address, checks=CHECKS, headers=field.headers[role])

        run()
    assert len(tried) > 20


def _name_what_is_there(field: Field, case: Any) -> None:
    for name in case.path_parameters or {}:
        case.path_parameters[name] = field.names.get(name, case.path_parameters[name])
    if case.method in ("PUT", "PATCH"):
        path = case.operation.path.removesuffix("/workbook").format(**case.path_parameters)
        tag = field.office.http.get(path, headers=field.headers["administrator"]).headers.get("ETag")
        if tag is not None:
            case.headers["If-Match"] = tag
