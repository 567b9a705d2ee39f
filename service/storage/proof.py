"""How the booklets of vessels were proved: kept so that lists need no calculation; written over, no record."""

from sqlalchemy import bindparam, insert, or_, select, update

from .statements import Statements
from .table import Record, moment, table, text, whole
from .vessel import VESSELS


class KeptProof(Record):
    """The proof of one revision of a vessel. `digest`: of that revision; `state`: none, thin, proved, off or
    incomplete; `conditions`: printed conditions it rests on; `off`: figures that contradict their printed ones."""

    vessel: str = text(primary_key=True, foreign_key="vessels.id")
    revision: int = whole()
    digest: str = text()
    calculation_version: str = text()
    state: str = text()
    conditions: int = whole()
    off: int = whole()
    created: str = moment()


class ProofTable(KeptProof, table=True):
    __tablename__ = "vessel_proofs"
    __table_args__ = ({"sqlite_strict": True},)


PROOFS = table(ProofTable)
_OF = select(PROOFS).where(PROOFS.c.vessel == bindparam("the_vessel"))
_ADD = insert(PROOFS)
_NEW = tuple(name for name in KeptProof.model_fields if name != "vessel")
_WRITE = (
    update(PROOFS)
    .where(PROOFS.c.vessel == bindparam("the_vessel"))
    .values({name: bindparam(f"new_{name}") for name in _NEW})
)
_BEHIND = (
    select(VESSELS.c.id)
    .join_from(VESSELS, PROOFS, PROOFS.c.vessel == VESSELS.c.id, isouter=True)
    .where(
        or_(
            PROOFS.c.vessel.is_(None),
            PROOFS.c.digest != VESSELS.c.head_digest,
            PROOFS.c.calculation_version != bindparam("the_version"),
        )
    )
    .order_by(VESSELS.c.id)
)


class ProofRepository:
    """Find and write over."""

    def __init__(self, statements: Statements, now: str) -> None:
        self._statements, self._now = statements, now

    def get(self, vessel: str) -> KeptProof | None:
        """The proof of a vessel, perhaps of an earlier revision; None where she was never proved."""
        row = self._statements.execute(_OF, {"the_vessel": vessel}).mappings().one_or_none()
        return None if row is None else KeptProof.of(row)

    def keep(
        self,
        vessel: str,
        revision: int,
        digest: str,
        *,
        calculation_version: str,
        state: str,
        conditions: int,
        off: int,
    ) -> None:
        """Write over what is there."""
        proof = KeptProof(
            vessel=vessel,
            revision=revision,
            digest=digest,
            calculation_version=calculation_version,
            state=state,
            conditions=conditions,
            off=off,
            created=self._now,
        )
        if self.get(vessel) is None:
            self._statements.add(_ADD, proof.values())
        else:
            values = {f"new_{name}": getattr(proof, name) for name in _NEW}
            self._statements.execute(_WRITE, {"the_vessel": vessel, **values})

    def behind(self, calculation_version: str) -> list[str]:
        """Vessels whose latest revision was not proved, or by another calculation."""
        found = self._statements.execute(_BEHIND, {"the_version": calculation_version})
        return [id for (id,) in found]
