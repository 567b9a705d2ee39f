"""Mail to people who hold no key follows their last sign-in: as long as it is good, and no further. Common practice of
access by sign-in, no source; the clock is ours."""

import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import timedelta
from pathlib import Path
from typing import NoReturn

import pytest

from service.actions.access import Caller
from service.actions.notices import mail_reader
from service.actions.notices.mail_text import Letterhead
from service.actions.notices.send_mail import Letter, MailSender, note_letter, take_letter
from service.actions.notices.sign_ins import (
    Said,
    SignInRule,
    forget_old_sign_ins,
    good_until,
    note_sign_in,
    remind_of_sign_in,
)
from service.actions.notices.told_by_mail import end_mail, list_told_by_mail
from service.actions.records.transactions import Records
from service.storage import MAIL_KINDS, SignIn, Storage, as_text, backup, migrate, restore, verify
from service.wire.refusal import Refusal
from tests.storage.records import condition, vessel
from tests.storage.test_clock import Clock

ISSUER = "https://id.example"
RULE = SignInRule(ISSUER, {"boss": "reviewer", "all": "administrator"}, 30)
HEAD = Letterhead("ships@fleet.example", "https://ships.example", b"pepper of the tests")
SENDER = MailSender("the sender", 60, 0, 60, HEAD, RULE)
PERSON = Caller("oidc" + "0" * 24, "A person ashore", "reviewer", None)
ADMIN = Caller("operator", "Operator", "administrator", None)
ADDRESS = "office@fleet.example"


@dataclass
class Scene:
    """Records with two ships, their clock, and what a sender with a rule sends next."""

    records: Records
    clock: Clock
    ships: dict[str, str] = field(default_factory=dict)

    def days_on(self, days: float) -> None:
        self.clock.at += timedelta(days=days)

    def sign_in(self, *ships: str, fleets: tuple[str, ...] = (), said: str = "boss") -> None:
        """What the provider says of the person now."""
        ids = [self.ships.get(ship, ship) for ship in ships]
        note_sign_in(self.records, RULE, PERSON, Said(RULE.roles[said], said, ids, list(fleets)))

    def subscribe(self) -> None:
        """Give the address and type the code."""
        mail_reader.give_address(self.records, RULE, PERSON, ADDRESS, MAIL_KINDS)
        with self.records.reading() as tx:
            reader = tx.mail.reader(PERSON.key_id)
        assert reader is not None
        assert mail_reader.code_of(HEAD.pepper, reader) in self.sent().message.get_content()
        code = mail_reader.code_of(HEAD.pepper, reader)
        mail_reader.confirm_address(self.records, HEAD.pepper, PERSON, code)

    def enter(self, ship: str = "Brise") -> None:
        """Something to tell of a ship, a moment later."""
        self.clock.at += timedelta(seconds=1)
        with self.records.writing() as tx:
            tx.conditions.create(self.ships[ship], condition())

    def next(self, rule: SignInRule | None = RULE) -> Letter | None:
        """The next mail, taken, with the lease on it."""
        self.clock.at += timedelta(minutes=2)
        return take_letter(self.records, replace(SENDER, rule=rule))[0]

    def sent(self) -> Letter:
        """The next mail, sent."""
        letter = self.next()
        assert letter is not None
        note_letter(self.records, SENDER, letter, None)
        return letter

    def outbox(self) -> list[tuple[str, str]]:
        """Rows but that of the code: why, and what became of them."""
        with self.records.reading() as tx:
            found = tx.connection.exec_driver_sql("SELECT kinds, state FROM mails ORDER BY id")
            return [(kinds, state) for kinds, state in found if kinds != '["confirm"]']

    def audit(self) -> list[tuple[str, str, str | None]]:
        with self.records.reading() as tx:
            return [(line.key_id, line.action, line.reason) for line in reversed(tx.audit.list())]


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database at the newest schema, made once."""
    path = tmp_path_factory.mktemp("empty") / "records.db"
    migrate(f"sqlite:///{path}")
    return path


@pytest.fixture
def scene(empty: Path, tmp_path: Path) -> Iterator[Scene]:
    clock = Clock()
    storage = Storage(f"sqlite:///{shutil.copy(empty, tmp_path)}", clock=clock)
    made = Scene(Records(storage), clock)
    with storage.transaction(write=True) as tx:
        for name in ("Brise", "Flaute"):
            made.ships[name] = tx.vessels.create(vessel(name)).vessel
    yield made
    storage.close()


def test_mail_goes_on_until_the_sign_in_is_too_old_and_each_sign_in_renews_it(scene: Scene) -> None:
    scene.sign_in("Brise")
    scene.subscribe()
    scene.enter("Flaute")
    assert scene.outbox() == []
    scene.enter()
    told = scene.sent()
    assert told.message["Subject"] == "Brise: revision 1 needs review"
    assert "This goes on until 26 December 2026 (UTC)" in told.message.get_content()
    scene.days_on(29.9)
    scene.sign_in("Brise")
    ended = scene.clock.at + timedelta(days=30)
    scene.days_on(29.9)
    scene.enter()
    scene.sent()
    scene.days_on(0.1)
    scene.enter()
    assert scene.next() is None
    assert len(scene.outbox()) == 2, "no row for somebody whose sign-in is too old"
    scene.sign_in("Brise")
    shown = mail_reader.show_notices(scene.records, RULE, PERSON)
    assert shown.sign_in is not None
    until = as_text(scene.clock.at + timedelta(days=30))
    assert (shown.sign_in.lapsed_from, shown.until) == (as_text(ended), until)
    scene.enter()
    assert "until 24 February 2027" in scene.sent().message.get_content()


def test_what_waits_is_struck_out_when_the_sign_in_grows_too_old(scene: Scene) -> None:
    """As with a mail server that is away: scope and age are looked at when the mail is made, not when it was kept."""
    scene.sign_in("Brise")
    scene.subscribe()
    scene.days_on(29.99)
    scene.enter()
    letter = scene.next()
    assert letter is not None
    note_letter(scene.records, SENDER, letter, "There was no connection to the mail server.")
    scene.days_on(0.1)
    assert scene.next() is None
    assert scene.outbox() == [('["needs_review"]', "dead")]


@pytest.mark.parametrize("said", [("Flaute",), ("west",), None])
def test_mail_follows_what_the_last_sign_in_says(scene: Scene, said: tuple[str, ...] | None) -> None:
    """Another ship, a fleet without her, or no role: what waits is not sent, and nothing is kept any more."""
    with scene.records.writing() as tx:
        tx.named_fleets.put("west", name="West", vessels=[scene.ships["Flaute"]])
    scene.sign_in("Brise")
    scene.subscribe()
    scene.enter()
    if said is None:
        note_sign_in(scene.records, RULE, PERSON, None)
    elif said == ("west",):
        scene.sign_in(fleets=("west",))
    else:
        scene.sign_in(*said)
    assert scene.next() is None
    scene.enter()
    assert scene.outbox() == [('["needs_review"]', "dead")]
    scene.enter("Flaute")
    assert (scene.next() is None) == (said is None)
    [_, _, (_, action, reason)] = scene.audit()
    assert action == "rescope_mail"
    assert (
        reason
        == {
            ("Flaute",): f"sign-in: reviewer; vessels {scene.ships['Flaute']}",
            ("west",): "sign-in: reviewer; vessels none; fleets west",
            None: "sign-in: not let in",
        }[said]
    )
    scene.sign_in("Brise")  # let in again: told again, without another code
    scene.enter()
    assert "Brise" in scene.sent().message["Subject"]


def test_a_fleet_is_looked_up_when_mail_is_sent(scene: Scene) -> None:
    with scene.records.writing() as tx:
        tx.named_fleets.put("west", name="West", vessels=[scene.ships["Brise"]])
    scene.sign_in(fleets=("west",))
    scene.subscribe()
    scene.enter()
    with scene.records.writing() as tx:
        tx.named_fleets.put("west", name="West", vessels=[scene.ships["Flaute"]])
    assert scene.next() is None
    scene.enter("Flaute")
    assert "Flaute" in scene.sent().message["Subject"]


def test_a_sign_in_before_cannot_widen_what_the_last_one_said(scene: Scene) -> None:
    """Somebody signs in with fewer ships, or is refused, while an older sign-in is open in another browser."""
    scene.sign_in("Brise", "Flaute")
    scene.sign_in("Flaute")
    scene.subscribe()  # in whichever browser
    scene.enter("Brise")
    assert scene.outbox() == []
    note_sign_in(scene.records, RULE, PERSON, None)
    with pytest.raises(Refusal, match="sign in again"):
        mail_reader.give_address(scene.records, RULE, PERSON, ADDRESS, MAIL_KINDS)
    with pytest.raises(Refusal, match="sign in again"):  # nothing is known of him
        mail_reader.give_address(scene.records, RULE, replace(PERSON, key_id="oidc1"), ADDRESS, MAIL_KINDS)


@pytest.mark.parametrize(
    "rule",
    [
        None,
        replace(RULE, issuer="https://other.example"),
        replace(RULE, roles={"all": "administrator"}),
        replace(RULE, roles={"boss": "ship"}),
        replace(RULE, days=1),
    ],
)
def test_no_mail_by_a_sign_in_that_the_settings_do_not_know_any_more(
    scene: Scene, rule: SignInRule | None
) -> None:
    """The provider was taken out of the settings or replaced, its role means nothing or something else, fewer days."""
    scene.sign_in("Brise")
    scene.subscribe()
    scene.days_on(1)
    scene.enter()
    assert scene.next(rule) is None
    assert scene.outbox() == [('["needs_review"]', "dead")]
    shown = mail_reader.show_notices(scene.records, rule, PERSON)
    assert (shown.until, shown.reader is not None) == (None, True)
    [told] = list_told_by_mail(scene.records, rule, ADMIN)
    assert (told.works, told.until) == (False, None)


@pytest.mark.parametrize(
    ("changes", "until"),
    [
        ({}, "2026-12-26T12:00:00.000000Z"),
        ({"good_until": "2026-12-01T12:00:00.000000Z"}, "2026-12-01T12:00:00.000000Z"),
        ({"good_until": "2027-12-01T12:00:00.000000Z"}, "2026-12-26T12:00:00.000000Z"),
        ({"role": None}, None),
        ({"role_said": None}, None),
        ({"role_said": "cook"}, None),
        ({"role": "administrator"}, None),
        ({"issuer": ISSUER + "/"}, None),
    ],
)
def test_how_long_a_sign_in_is_good(changes: dict[str, str | None], until: str | None) -> None:
    given = {
        "key_id": "k",
        "issuer": ISSUER,
        "name": "n",
        "role": "reviewer",
        "role_said": "boss",
        "fleets": "[]",
    }
    given |= {"signed_in": "2026-11-26T12:00:00.000000Z", "good_until": "2026-12-26T12:00:00.000000Z"}
    assert good_until(RULE, SignIn(**{**given, **changes})) == until


def test_a_reader_is_told_once_before_mail_ends_unless_it_signs_in(scene: Scene) -> None:
    scene.sign_in("Brise")
    scene.subscribe()
    scene.days_on(26)
    assert remind_of_sign_in(scene.records) == 0
    scene.days_on(1.5)
    assert [remind_of_sign_in(scene.records) for _ in range(2)] == [1, 0]
    letter = scene.sent()
    assert letter.message["Subject"] == (
        "Loading conditions: sign in before 26 December 2026 (UTC) to be told further"
    )
    text = letter.message.get_content()
    assert "Otherwise nothing more is sent" in text
    assert "The code is" not in text
    scene.sign_in("Brise")
    scene.days_on(27.5)
    assert remind_of_sign_in(scene.records) == 1
    scene.sign_in("Brise")  # before the mail goes
    assert scene.next() is None
    assert scene.outbox() == [('["renew"]', "sent"), ('["renew"]', "dead")]
    short = replace(RULE, days=1)  # half of it at the earliest
    note_sign_in(scene.records, short, PERSON, Said("reviewer", "boss", [], []))
    assert remind_of_sign_in(scene.records) == 0
    scene.days_on(0.6)
    assert remind_of_sign_in(scene.records) == 1


def test_sign_ins_are_forgotten_with_the_address_of_who_came_no_more(scene: Scene) -> None:
    scene.sign_in("Brise")
    scene.days_on(0.9)
    assert forget_old_sign_ins(scene.records) == 0, "a session of it may be open"
    scene.days_on(0.2)
    assert forget_old_sign_ins(scene.records) == 1
    scene.sign_in("Brise")
    scene.subscribe()
    scene.days_on(179)
    assert forget_old_sign_ins(scene.records) == 0
    scene.days_on(1.1)
    assert forget_old_sign_ins(scene.records) == 1
    assert list_told_by_mail(scene.records, RULE, ADMIN) == []


def test_an_administrator_sees_who_is_told_and_ends_it(scene: Scene) -> None:
    with scene.records.writing() as tx:
        tx.keys.add("key00001", name="Bridge", role="ship", secret_hash="00", vessels=["v"])
    mate = Caller("key00001", "Bridge", "ship", frozenset({"v"}))
    mail_reader.give_address(scene.records, RULE, mate, "bridge@fleet.example", MAIL_KINDS)
    scene.sent()
    scene.sign_in("Brise")
    scene.subscribe()
    person, bridge = list_told_by_mail(scene.records, RULE, ADMIN)
    assert (person.name, person.role, person.vessels) == (
        "A person ashore",
        "reviewer",
        [scene.ships["Brise"]],
    )
    assert (person.address, person.works) == (ADDRESS, True)
    assert person.until is not None
    assert person.until.startswith("2026-12-26")
    assert (bridge.name, bridge.signed_in, bridge.confirmed, bridge.works) == ("Bridge", None, None, True)
    scene.enter()
    end_mail(scene.records, ADMIN, PERSON.key_id)
    assert scene.next() is None
    assert scene.outbox() == []
    assert scene.audit()[-1] == ("operator", "end_mail", f"reader {PERSON.key_id}")
    with pytest.raises(Refusal, match="ended already"):
        end_mail(scene.records, ADMIN, PERSON.key_id)
    for refused in (PERSON, mate):
        with pytest.raises(Refusal) as found:
            list_told_by_mail(scene.records, RULE, refused)
        assert found.value.code == "forbidden"
        with pytest.raises(Refusal, match="may not do this"):
            end_mail(scene.records, refused, "key00001")


def test_the_link_in_a_mail_stops_it_whatever_became_of_the_sign_in(scene: Scene) -> None:
    scene.sign_in("Brise")
    scene.subscribe()
    note_sign_in(scene.records, RULE, PERSON, None)
    with scene.records.reading() as tx:
        reader = tx.mail.reader(PERSON.key_id)
    assert reader is not None
    token = mail_reader.stop_token(HEAD.pepper, reader)
    assert not mail_reader.stop_by_link(scene.records, HEAD.pepper, PERSON.key_id, token[:-1])
    assert mail_reader.stop_by_link(scene.records, HEAD.pepper, PERSON.key_id, token)
    assert list_told_by_mail(scene.records, RULE, ADMIN) == []


def test_a_restored_backup_tells_nobody_longer_than_the_sign_in_in_it(scene: Scene, tmp_path: Path) -> None:
    """The age counts from the sign-in, so that a copy of long ago brings no mail back to life."""
    scene.sign_in("Brise")
    scene.subscribe()
    scene.enter()
    kept, again = tmp_path / "kept.db", f"sqlite:///{tmp_path / 'again.db'}"
    backup(scene.records.storage.url.render_as_string(), kept)
    restore(kept, again)
    for days, told in ((29, True), (31, False)):
        storage = Storage(again, clock=lambda days=days: _at(scene, days))
        verify(storage)
        assert (take_letter(Records(storage), SENDER)[0] is not None) == told
        storage.close()


def _at(scene: Scene, days: int) -> str:
    clock = Clock()
    clock.at = scene.clock.at + timedelta(days=days)
    return clock()


def test_whoever_has_mail_is_not_let_in_while_that_cannot_be_noted(
    scene: Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Others are, as on a full disk: nothing follows from their sign-in but what they may read."""

    def full() -> NoReturn:
        raise Refusal("records_unavailable", "The disk is full.")

    with monkeypatch.context() as patch:
        patch.setattr(scene.records, "writing", full)
        scene.sign_in("Brise")
    scene.sign_in("Brise")
    scene.subscribe()
    monkeypatch.setattr(scene.records, "writing", full)
    with pytest.raises(Refusal, match="The disk is full"):
        scene.sign_in("Flaute")
