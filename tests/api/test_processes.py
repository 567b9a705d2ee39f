"""Several server processes on one PostgreSQL behave as one; a SQLite file has one server."""

import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from pathlib import Path

import httpx
import pytest

from service.storage import Storage, verify
from tests.api.office import Office, condition_document, running_office, vessel_document
from tests.endurance.one_condition import CLIENTS, Edits, check, edit
from tests.endurance.proxy import Proxy
from tests.endurance.server import ServerProcess
from tests.postgres import Server


def test_sixteen_clients_have_one_winner_for_each_revision(office: Office) -> None:
    condition, _ = office.enter_condition(office.enter_vessel())
    edits = edit(office.address, condition, wins=2)
    assert edits.unknown == []
    assert check(office.address, condition, edits) == 1 + 2 * CLIENTS


@pytest.mark.timeout(200)
def test_three_processes_behind_a_proxy_one_of_them_killed(postgres_server: Server) -> None:
    url = postgres_server.create()
    with ExitStack() as stack:
        servers = [stack.enter_context(ServerProcess(url)) for _ in range(3)]
        proxy = stack.enter_context(Proxy([server.port for server in servers]))
        http = stack.enter_context(httpx.Client(base_url=proxy.address, timeout=30, trust_env=False))
        vessel = http.post("/v1/vessels", json=vessel_document()).json()["vessel"]
        made = http.post(f"/v1/vessels/{vessel}/conditions", json=condition_document())
        condition = made.json()["condition"]

        def kill_one(edits: Edits) -> None:
            while len(edits.won) < CLIENTS:
                time.sleep(0.005)
            servers[1].kill()

        edits = edit(proxy.address, condition, wins=2, meanwhile=kill_one)
        revisions = check(proxy.address, condition, edits)
        assert 1 + 2 * CLIENTS <= revisions <= 1 + 2 * CLIENTS + len(edits.unknown)
        _same_names_make_one(proxy.address, vessel)
        for server in (servers[0], servers[2]):  # each tells the same
            found = httpx.get(f"{server.address}/v1/conditions/{condition}", trust_env=False).json()
            assert found["revision"] == revisions
    storage = Storage(url)
    verify(storage)
    storage.close()
    postgres_server.drop(url)


def _same_names_make_one(address: str, vessel: str) -> None:
    """One request sent to all processes at once under one name: one condition, one answer."""
    path, named = f"{address}/v1/vessels/{vessel}/conditions", {"Idempotency-Key": "through-the-proxy"}

    def send(_: int) -> httpx.Response:
        return httpx.post(path, json=condition_document(), headers=named, timeout=30, trust_env=False)

    with ThreadPoolExecutor(8) as pool:
        answers = [answer for answer in pool.map(send, range(8)) if answer.status_code != 409]
    assert {answer.status_code for answer in answers} == {201}
    assert len({answer.content for answer in answers}) == 1


def test_a_key_revoked_at_one_process_is_refused_by_the_others(postgres_server: Server) -> None:
    url = postgres_server.create()
    with running_office(url) as first, running_office(url) as second:
        head, mate = first.key("administrator"), first.token("integrator")
        headers = {"Authorization": f"Bearer {mate}"}
        assert second.http.get("/v1/vessels", headers=headers).status_code == 200
        first.http.delete(f"/v1/keys/{mate.split('_')[1]}", headers=head)
        assert first.http.get("/v1/vessels", headers=headers).status_code == 401
        until = time.monotonic() + 5
        while second.http.get("/v1/vessels", headers=headers).status_code == 200:
            assert time.monotonic() < until
            time.sleep(0.1)
    postgres_server.drop(url)


def test_a_sqlite_file_has_one_server(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path}/records.db"
    with ServerProcess(url) as first:
        with pytest.raises(AssertionError, match="ended with 2"):
            ServerProcess(url).start()
        assert httpx.get(f"{first.address}/readyz", trust_env=False).json() == {"status": "ok"}
