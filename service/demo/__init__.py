"""Demonstration ships of our own invention: vessel documents, conditions, and the code that computes them.

Reads only the files of this package; works from an installed wheel.  No real ship is meant.
"""

from importlib.resources import files
from importlib.resources.abc import Traversable


def _folder(name: str) -> Traversable:
    return files(__name__).joinpath(name)


def _names(folder: Traversable) -> tuple[str, ...]:
    """Names of the JSON files in a folder, without their ending, in alphabetical order."""
    return tuple(sorted(f.name.removesuffix(".json") for f in folder.iterdir() if f.name.endswith(".json")))


def demo_vessel_ids() -> tuple[str, ...]:
    """Ids of the demonstration vessels, in alphabetical order."""
    return _names(_folder("vessels"))


def read_vessel(vessel_id: str) -> bytes:
    """The vessel document as JSON (UTF-8).  Raises KeyError for an unknown id."""
    if vessel_id not in demo_vessel_ids():
        raise KeyError(vessel_id)
    return _folder("vessels").joinpath(f"{vessel_id}.json").read_bytes()


def read_printed_conditions(vessel_id: str) -> bytes:
    """The conditions her booklet prints, as the list `printed_conditions` of a vessel document (UTF-8).

    Computed from her hull and tanks as solids, not from her tables.  Raises KeyError for an unknown id."""
    if vessel_id not in demo_vessel_ids():
        raise KeyError(vessel_id)
    return _folder("printed").joinpath(f"{vessel_id}.json").read_bytes()


def condition_names(vessel_id: str) -> tuple[str, ...]:
    """Names of the vessel's conditions, in alphabetical order.  Raises KeyError for an unknown id."""
    if vessel_id not in demo_vessel_ids():
        raise KeyError(vessel_id)
    return _names(_folder("conditions").joinpath(vessel_id))


def read_condition(vessel_id: str, name: str) -> bytes:
    """A condition document as JSON (UTF-8).  Raises KeyError for an unknown vessel or name."""
    if name not in condition_names(vessel_id):
        raise KeyError(f"{vessel_id}/{name}")
    return _folder("conditions").joinpath(vessel_id, f"{name}.json").read_bytes()
