"""The last sign-in of people without a key: written over, found by age, and beside keys the readers of mail."""

import json
from datetime import timedelta

from service.storage import MAIL_KINDS, MailReader, SignIn, Storage, as_text
from tests.storage.test_clock import Clock

FLEET = "north"


def reader(key_id: str) -> MailReader:
    """Somebody whose address is confirmed."""
    moment = Clock()()
    given = {"address": "office@fleet.example", "kinds": json.dumps(MAIL_KINDS), "salt": "s", "tries": 0}
    return MailReader(key_id=key_id, **given, created=moment, confirmed=moment)


def sign_in(key_id: str, days: int = 30, **changes: str | None) -> SignIn:
    """A reviewer of one ship and a fleet, signed in when the clock of the tests begins."""
    clock = Clock()
    given = {"issuer": "https://id.example", "name": "A person", "role": "reviewer", "role_said": "boss"}
    given |= {"vessels": '["v"]', "fleets": json.dumps([FLEET]), "signed_in": clock()}
    given["good_until"] = as_text(clock.at + timedelta(days=days))
    return SignIn(**{**given, "key_id": key_id, **changes})


def test_readers_work_by_a_key_or_by_a_good_sign_in(migrated_url: str) -> None:
    clock = Clock()
    storage = Storage(migrated_url, clock=clock)
    with storage.transaction(write=True) as tx:
        tx.named_fleets.put(FLEET, name="North", vessels=["w"])
        tx.keys.add("k", name="Mate", role="ship", secret_hash="00", vessels=["v"])
        tx.keys.add("gone", name="Mate", role="ship", secret_hash="00")
        tx.keys.revoke("gone")
        kept = [sign_in("one"), sign_in("all", vessels=None, fleets="[]"), sign_in("short", 1)]
        for each in (*kept, sign_in("refused", role=None, vessels="[]", fleets="[]")):
            tx.sign_ins.keep(each)
        for id in ("k", "gone", "one", "all", "short", "refused", "nobody"):
            tx.mail.keep_reader(reader(id))
        tx.sign_ins.keep(sign_in("without an address"))
    with storage.transaction() as tx:
        found = tx.mail.working()
        assert {id: each.scope for id, each in found.items()} == {
            "k": {"v"},
            "one": {"v", "w"},
            "all": None,
            "short": {"v", "w"},
        }
        assert found["k"].sign_in is None
        assert found["one"].sign_in == sign_in("one")
        assert found["one"].reader == reader("one")
        assert [each.key_id for each in tx.mail.readers()] == sorted(
            ("k", "gone", "one", "all", "short", "refused", "nobody")
        )
    clock.at += timedelta(days=1)
    with storage.transaction() as tx:
        assert sorted(tx.mail.working()) == ["all", "k", "one"]
    storage.close()


def test_sign_ins_are_written_over_and_found_by_age(migrated_url: str) -> None:
    clock = Clock()
    storage = Storage(migrated_url, clock=clock)
    with storage.transaction(write=True) as tx:
        assert tx.sign_ins.get("one") is None
        for each in (sign_in("one", 2), sign_in("two"), sign_in("refused", 2, role=None)):
            tx.sign_ins.keep(each)
        assert [each.key_id for each in tx.sign_ins.ending(as_text(clock.at + timedelta(days=3)))] == ["one"]
        tx.sign_ins.note_reminded("one")
        assert tx.sign_ins.ending(as_text(clock.at + timedelta(days=3))) == []
        assert tx.sign_ins.get("one") == sign_in("one", 2, reminded=tx.now)
        assert tx.sign_ins.before(clock()) == []
    clock.at += timedelta(seconds=1)
    with storage.transaction(write=True) as tx:
        tx.sign_ins.keep(sign_in("one", signed_in=tx.now))
        assert sorted(tx.sign_ins.before(tx.now)) == ["refused", "two"]
        tx.sign_ins.remove("two")
        assert tx.sign_ins.get("two") is None
    storage.close()
