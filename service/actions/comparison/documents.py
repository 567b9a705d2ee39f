"""What differs between two JSON documents, named the way a person would: by tank, by row, by member."""

from typing import Any

from service.wire.vessel_record import DocumentChange

# What names an entry of a list, the first that all entries have and no two share.
_NAMES: tuple[tuple[str, ...], ...] = (
    ("id",),
    ("tank",),
    ("hold",),
    ("name", "category"),
    ("name",),
    ("contents", "density"),
    ("trim", "draft"),
    ("draft",),
    ("sounding",),
    ("ullage",),
    ("trim",),
    ("x",),
)


def document_changes(before: Any, after: Any, path: tuple[str, ...] = ()) -> list[DocumentChange]:
    """Every place in which two values differ, in the order of the documents."""
    if before is after:
        return []
    if isinstance(before, dict) and isinstance(after, dict):
        return _members(before, after, path)
    if isinstance(before, list) and isinstance(after, list):
        named_before, named_after = _named(before, after)
        if named_before is not None and named_after is not None:
            return _members(named_before, named_after, path)
    if before == after and isinstance(before, bool) == isinstance(after, bool):  # 1 is 1.0 and not true
        return []
    return [{"path": list(path), "change": "changed", "before": before, "after": after}]


def _members(before: dict[str, Any], after: dict[str, Any], path: tuple[str, ...]) -> list[DocumentChange]:
    changes: list[DocumentChange] = []
    for name, value in before.items():
        if name not in after:
            changes.append({"path": [*path, name], "change": "removed", "before": value, "after": None})
        else:
            changes += document_changes(value, after[name], (*path, name))
    for name, value in after.items():
        if name not in before:
            changes.append({"path": [*path, name], "change": "added", "before": None, "after": value})
    return changes


def _named(before: list[Any], after: list[Any]) -> tuple[dict[str, Any] | None, dict[str, Any] | None]:
    """Both lists as entries under their names; None where the lists hold plain values of different number."""
    entries = [*before, *after]
    if entries and all(isinstance(entry, dict) for entry in entries):
        for names in _NAMES:
            pair = _under(names, before), _under(names, after)
            if pair[0] is not None and pair[1] is not None:
                return pair
    if len(before) != len(after) and not any(isinstance(entry, dict | list) for entry in entries):
        return None, None
    return _by_place(before), _by_place(after)


def _under(names: tuple[str, ...], entries: list[Any]) -> dict[str, Any] | None:
    found: dict[str, Any] = {}
    for entry in entries:
        if any(name not in entry for name in names):
            return None
        words = [str(entry[name]) if names[0] == "id" else f"{name} {entry[name]}" for name in names]
        if names[0] in ("name", "tank", "hold"):
            words = [str(entry[name]) for name in names]
        title = ", ".join(words)
        if title in found:
            return None
        found[title] = entry
    return found


def _by_place(entries: list[Any]) -> dict[str, Any]:
    return {f"entry {place}": entry for place, entry in enumerate(entries, 1)}
