"""The client's calls about kept records, against a running service."""

from collections.abc import Iterator

import pytest

from service.client import Refused, ServiceClient
from tests.api.office import Office, condition_document, running_office, vessel_document


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    with running_office(
        f"sqlite:///{tmp_path_factory.mktemp('client')}/records.db", max_page_size=2
    ) as running:
        yield running


def test_a_condition_from_entry_to_review(office: Office) -> None:
    tokens = {
        role: office.token("administrator" if role == "office" else "reviewer")
        for role in ("office", "reviewer")
    }
    with (
        ServiceClient(office.address, key=tokens["office"]) as client,
        ServiceClient(office.address, key=tokens["reviewer"]) as reviewer,
    ):
        ship = client.add_vessel(vessel_document(), reason="New", idempotency_key="ship-1")
        id = ship.record["vessel"]
        assert (
            client.add_vessel(vessel_document(), reason="New", idempotency_key="ship-1").record["vessel"]
            == id
        )
        renamed = client.revise_vessel(id, vessel_document(name="Renamed"), ship.etag)
        assert client.get_vessel(id) == renamed
        made = client.add_condition(id, condition_document(), reason="Loaded")
        condition = made.record["condition"]
        second = client.patch_condition(condition, {"title": "Second"}, made.etag, reason="Title")
        third = client.revise_condition(condition, condition_document("timber-gm-fails"), second.etag)
        with pytest.raises(Refused) as stale:
            client.revise_condition(condition, condition_document(), second.etag)
        assert stale.value.problem["code"] == "stale"
        assert client.get_condition(condition).etag == third.etag
        assert client.get_condition(condition, units="us").record["assessment"]["units"]["system"] == "us"
        compared = client.compare_revisions(condition, 1, 3, reassess=True)
        assert compared["verdict"] == {"before": "pass", "after": "fail"}
        assert compared["reassessed"] is not None
        assert (made.etag, third.etag) == ('"1.0"', '"3.0"')
        sails = client.set_condition_state(condition, "in_force", third.etag, "She sails with this.")
        assert (sails.record["state"], sails.etag) == ("in_force", '"3.1"')
        review = reviewer.add_review(condition, 3, "returned", "GM too small")
        assert (review["revision"], review["decision"]) == (3, "returned")
        for _ in range(4):
            client.add_condition(id, condition_document())
        assert len(list(client.list_vessel_conditions(id))) == len(list(client.list_conditions())) == 5
        assert [line["id"] for line in client.list_vessel_conditions(id, verdict="fail")] == [condition]
        assert [line["name"] for line in client.list_vessels()] == ["Renamed"]
        assert [line["vessel"] for line in client.get_fleet(units="us")] == [id]
        assert client.set_vessel_state(id, "withdrawn").record["state"] == "withdrawn"
        assert list(client.get_fleet()) == []
        assert [line["vessel"] for line in client.get_fleet(state="withdrawn")] == [id]
        numbers = [change["id"] for change in client.list_changes()]
        assert numbers == list(range(1, 13))
        assert next(change["event"] for change in client.list_changes(after=6)) == "review"


def test_without_a_valid_key(office: Office) -> None:
    office.token("administrator")
    with ServiceClient(office.address, key="lc_wrong_key") as client, pytest.raises(Refused) as refused:
        client.get_vessel("any")
    assert refused.value.problem["code"] == "unauthenticated"
