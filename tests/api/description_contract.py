"""What callers rely on in a description of the API, and what of it another description breaks.

Version 1 only grows. To a caller it is a break where

* an operation, a parameter, a media type or a successful status goes;
* a parameter or a member of a request becomes required, may no longer be sent, takes fewer values or narrower ones;
* a member of an answer goes, need no longer be there, or may be something else than before;
* a value goes that was among those listed.

Values of an answer may be added: callers are told that lists of values are open. A parameter of a query may become a
list of what it was: its name is repeated for several, so one value is a list of one. Other requests may be taken beside
the one that was.
"""

from typing import Any

Contract = dict[str, Any]
_WORDS = ("description", "title", "examples", "example", "x-units", "deprecated", "summary")
_LEAST = ("minimum", "exclusiveMinimum", "minLength", "minItems", "minProperties")
_MOST = ("maximum", "exclusiveMaximum", "maxLength", "maxItems", "maxProperties")


def contract_of(description: dict[str, Any]) -> Contract:
    """The operations and schemas of a description without what is said for people."""
    operations = {}
    for path, methods in description["paths"].items():
        for method, operation in methods.items():
            operations[f"{method.upper()} {path}"] = {
                "operationId": operation["operationId"],
                "parameters": {
                    f"{each['in']} {each['name']}": {
                        "required": each.get("required", False),
                        "schema": _plain(each["schema"]),
                    }
                    for each in operation.get("parameters", ())
                },
                "request": _contents(operation.get("requestBody", {})),
                "answers": {
                    status: _contents(answer)
                    for status, answer in operation["responses"].items()
                    if status < "300"
                },
            }
    schemas = {name: _plain(schema) for name, schema in description["components"]["schemas"].items()}
    return {"operations": operations, "schemas": schemas}


def _contents(holder: dict[str, Any]) -> dict[str, Any]:
    return {
        media_type: _plain(content.get("x-line-schema") or content.get("schema", {}))
        for media_type, content in holder.get("content", {}).items()
    }


def _plain(schema: Any) -> Any:
    """A schema without the words in it; `properties` may have members of those names."""
    if isinstance(schema, list):
        return [_plain(each) for each in schema]
    if not isinstance(schema, dict):
        return schema
    return {
        name: {member: _plain(each) for member, each in value.items()}
        if name == "properties"
        else _plain(value)
        for name, value in schema.items()
        if name not in _WORDS
    }


def breaks(old: Contract, new: Contract) -> list[str]:
    """What of `old` does not hold in `new`, a sentence each."""
    return _Breaks(old["schemas"], new["schemas"]).of_operations(old["operations"], new["operations"])


class _Breaks:
    def __init__(self, old: dict[str, Any], new: dict[str, Any]) -> None:
        self._old, self._new = old, new
        self._found: list[str] = []
        self._seen: set[tuple[str, str, bool]] = set()

    def of_operations(self, old: dict[str, Any], new: dict[str, Any]) -> list[str]:
        for name, operation in old.items():
            if name not in new:
                self._found.append(f"{name} is gone")
            else:
                self._operation(name, operation, new[name])
        return sorted(set(self._found))

    def _operation(self, name: str, old: dict[str, Any], new: dict[str, Any]) -> None:
        if old["operationId"] != new["operationId"]:
            self._found.append(f"{name} has another operationId")
        for parameter, before in old["parameters"].items():
            if parameter not in new["parameters"]:
                self._found.append(f"{name}: parameter {parameter} is gone")
            else:
                was, now = before["schema"], new["parameters"][parameter]["schema"]
                if parameter.startswith("query ") and "array" not in _by_kind(was):
                    now = _of_one(now)
                self._schema(f"{name}: {parameter}", was, now, sent=True)
        for parameter, after in new["parameters"].items():
            if after["required"] and not old["parameters"].get(parameter, {"required": False})["required"]:
                self._found.append(f"{name}: parameter {parameter} is required now")
        self._media(f"{name}: request", old["request"], new["request"], sent=True)
        if new["request"] and not old["request"]:
            self._found.append(f"{name}: a request body is required now")
        for status, answer in old["answers"].items():
            if status not in new["answers"]:
                self._found.append(f"{name}: status {status} is gone")
            else:
                self._media(f"{name}: answer {status}", answer, new["answers"][status], sent=False)

    def _media(self, place: str, old: dict[str, Any], new: dict[str, Any], *, sent: bool) -> None:
        for media_type, schema in old.items():
            if media_type not in new:
                self._found.append(f"{place}: {media_type} is gone")
            else:
                self._schema(place, schema, new[media_type], sent=sent)

    def _schema(self, place: str, old: Any, new: Any, *, sent: bool) -> None:
        """sent: a schema of requests; otherwise of answers."""
        if old == new and "$ref" not in repr(old):
            return
        if sent and "$ref" in old and old in new.get("anyOf", ()):
            new = old  # other requests are taken as well
        if "$ref" in old and old.get("$ref") == new.get("$ref"):
            name = old["$ref"].rpartition("/")[2]
            if (name, name, sent) not in self._seen:
                self._seen.add((name, name, sent))
                self._schema(name, self._old[name], self._new[name], sent=sent)
            return
        old, new = self._resolved(old, self._old), self._resolved(new, self._new)
        wide, narrow = (new, old) if sent else (old, new)
        if missing := _kinds(narrow) - _kinds(wide):
            how = "no longer takes" if sent else "may be"
            self._found.append(f"{place} {how} {', '.join(sorted(missing))}")
        self._values(place, old, new)
        if sent:
            self._bounds(place, old, new)
        self._members(place, old, new, sent=sent)
        if "items" in old and "items" in new:
            self._schema(f"{place}[]", old["items"], new["items"], sent=sent)
        self._alternatives(place, old, new, sent=sent)

    def _resolved(self, schema: dict[str, Any], schemas: dict[str, Any]) -> dict[str, Any]:
        while "$ref" in schema:
            schema = schemas[schema["$ref"].rpartition("/")[2]]
        return schema

    def _values(self, place: str, old: dict[str, Any], new: dict[str, Any]) -> None:
        before = old.get("enum", [old["const"]] if "const" in old else None)
        now = new.get("enum", [new["const"]] if "const" in new else None)
        if before is not None and now is not None:
            for value in before:
                if value not in now:
                    self._found.append(f"{place}: the value {value!r} is gone")
        elif before is None and now is not None:
            self._found.append(f"{place} takes listed values only")

    def _bounds(self, place: str, old: dict[str, Any], new: dict[str, Any]) -> None:
        for name in _LEAST:
            if name in new and (name not in old or new[name] > old[name]):
                self._found.append(f"{place}: {name} is {new[name]} now")
        for name in _MOST:
            if name in new and (name not in old or new[name] < old[name]):
                self._found.append(f"{place}: {name} is {new[name]} now")
        if "pattern" in new and new["pattern"] != old.get("pattern"):
            self._found.append(f"{place} has another pattern")

    def _members(self, place: str, old: dict[str, Any], new: dict[str, Any], *, sent: bool) -> None:
        before, now = old.get("properties", {}), new.get("properties", {})
        for name, schema in before.items():
            if name not in now:
                self._found.append(f"{place}: the member {name} is gone")
            else:
                self._schema(f"{place}.{name}", schema, now[name], sent=sent)
        was, required = set(old.get("required", ())), set(new.get("required", ()))
        for name in sorted(required - was) if sent else ():
            self._found.append(f"{place}: the member {name} is required now")
        for name in sorted((was - required) & set(now)) if not sent else ():
            self._found.append(f"{place}: the member {name} may be missing now")

    def _alternatives(self, place: str, old: dict[str, Any], new: dict[str, Any], *, sent: bool) -> None:
        """Each alternative of the one side is compared with that of its kind on the other."""
        before, now = _by_kind(old), _by_kind(new)
        if "anyOf" in old or "anyOf" in new:
            for kind in before.keys() & now.keys():
                self._schema(place, before[kind], now[kind], sent=sent)


def _of_one(schema: dict[str, Any]) -> dict[str, Any]:
    """What a query may say once where it may say several; the schema itself where it may not."""
    several = _by_kind(schema).get("array")
    if several is None or several.get("minItems", 0) > 1:
        return schema
    one: dict[str, Any] = several["items"]
    return one


def _by_kind(schema: dict[str, Any]) -> dict[str, Any]:
    if "anyOf" not in schema:
        return {_kind(schema): schema}
    return {_kind(part): part for part in schema["anyOf"]}


def _kinds(schema: dict[str, Any]) -> set[str]:
    return set(_by_kind(schema)) - {"anything"}


def _kind(schema: dict[str, Any]) -> str:
    if "$ref" in schema:
        return str(schema["$ref"].rpartition("/")[2])
    if "enum" in schema or "const" in schema:
        return "string"
    if "format" in schema and schema["format"] == "binary":
        return "file"
    return str(schema.get("type", "anything"))
