"""What of a new contract would break the callers of an old one: the directions of requests and answers told apart.

A caller's request must still be taken: what may be sent is nowhere narrowed. A caller must still understand the answer: what
may come is nowhere widened, but for members that are new and values of open lists (`x-extensible-enum`). Generated clients
name types and operations after the contract, so these names stay too. Descriptions and examples may change.
"""

import json
from itertools import chain

LOWEST = ("minimum", "minLength", "minItems")
HIGHEST = ("maximum", "maxLength", "maxItems")
OPEN = "x-extensible-enum"
FIXED = ("pattern", "format", "multipleOf", "uniqueItems", "x-unit", "default", "const")
"""Of which every change breaks: it cannot be told whether it narrows, or a caller reads another thing."""

THROUGH = (("FittingRequest", False), ("Duty", False), ("Fitting", True))
"""What only passes through in this direction: a request's echo and defaults, which hold what the caller may send, and stored
answers of any version, which are verified or called `other_version`."""
SAID = ("description", "summary", "example", "examples")
"""What only explains."""


def breaks(old, new):
    """Sentences, one for each change that breaks a caller of the old contract."""
    return sorted(set(chain(Comparison(old, new).operations())))


def answer_shape(contract):
    """The schemas that a fitting's answer is made of, as text, without what is said about them."""
    reached, waiting = {}, ["Fitting"]
    while waiting:
        name = waiting.pop()
        if name not in reached:
            reached[name] = _bare(contract["components"]["schemas"][name])
            waiting += [one.rpartition("/")[2] for one in _references(reached[name])]
    return json.dumps(reached, sort_keys=True)


def shape(contract):
    """The whole contract as text, without versions and what is said about its parts."""
    return json.dumps({name: _bare(contract[name]) for name in ("paths", "components")}, sort_keys=True)


def _bare(content):
    if isinstance(content, dict):
        return {
            name: {one: _bare(schema) for one, schema in value.items()} if name == "properties" else _bare(value)
            for name, value in content.items()
            if name not in SAID
        }
    return [_bare(one) for one in content] if isinstance(content, list) else content


def _references(content):
    if isinstance(content, dict):
        return [*([content["$ref"]] if "$ref" in content else []), *chain(*map(_references, content.values()))]
    return [*chain(*map(_references, content))] if isinstance(content, list) else []


class Comparison:
    """Two contracts, and the pairs of named schemas that were compared already."""

    def __init__(self, old, new):
        """Compare nothing yet."""
        self._old, self._new = old, new
        self._seen = set()

    def operations(self):
        """The changes of all operations."""
        for path, methods in self._old["paths"].items():
            for method, old in methods.items():
                where = f"{method.upper()} {path}"
                new = self._new["paths"].get(path, {}).get(method)
                if new is None:
                    yield f"{where} is gone"
                    continue
                if old["operationId"] != new["operationId"]:
                    yield f"{where} has another operationId"
                if any(way not in new["security"] for way in old["security"]):
                    yield f"{where} takes fewer ways of showing a key"
                yield from self._parameters(where, old, new)
                yield from self._body(where, old.get("requestBody"), new.get("requestBody"))
                yield from self._answers(where, old["responses"], new["responses"])

    def _parameters(self, where, old, new):
        before = {(one["in"], one["name"]): one for one in map(self._resolved_old, old["parameters"])}
        after = {(one["in"], one["name"]): one for one in map(self._resolved_new, new["parameters"])}
        for key, one in before.items():
            if key not in after:
                yield f"{where}: parameter {key[1]} is gone"
                continue
            if after[key].get("required") and not one.get("required"):
                yield f"{where}: parameter {key[1]} is required"
            yield from self._schema(f"{where}: parameter {key[1]}", one["schema"], after[key]["schema"], sent=True)
        for key, one in after.items():
            if key not in before and one.get("required"):
                yield f"{where}: parameter {key[1]} is new and required"

    def _body(self, where, old, new):
        if new and new.get("required") and not (old and old.get("required")):
            yield f"{where}: a body is required"
        if not old:
            return
        yield from self._contents(f"{where}: body", old["content"], (new or {"content": {}})["content"], sent=True)

    def _answers(self, where, old, new):
        for status, one in old.items():
            if not status.startswith("2"):
                continue  # any problem may come at any time, in one form
            if status not in new:
                yield f"{where}: {status} is not answered any more"
                continue
            before, after = self._resolved_old(one), self._resolved_new(new[status])
            for name in before.get("headers", {}):
                if name not in after.get("headers", {}):
                    yield f"{where}: header {name} is gone"
                    continue
                pair = before["headers"][name], after["headers"][name]
                schemas = self._resolved_old(pair[0])["schema"], self._resolved_new(pair[1])["schema"]
                yield from self._schema(f"{where}: header {name}", *schemas, sent=False)
            yield from self._contents(f"{where}: answer", before.get("content", {}), after.get("content", {}), sent=False)
        schemas = self._old["components"]["schemas"], self._new["components"]["schemas"]
        yield from self._schema("a problem", schemas[0]["Problem"], schemas[1].get("Problem", {}), sent=False)

    def _contents(self, where, old, new, *, sent):
        for media_type, one in old.items():
            if media_type not in new:
                yield f"{where}: {media_type} is gone"
            else:
                yield from self._schema(where, one["schema"], new[media_type]["schema"], sent=sent)
        if not sent:
            yield from (f"{where}: {media_type} is new" for media_type in new if media_type not in old)

    def _schema(self, where, old, new, *, sent):
        """The changes of a schema that is sent by callers, or answered to them."""
        names = tuple(one.get("$ref", "").rpartition("/")[2] for one in (old, new))
        if names[0] != names[1]:
            yield f"{where}: the type {names[0] or 'without a name'} is now {names[1] or 'without a name'}"
        if names[0]:
            if (*names, sent) in self._seen or (names[0], sent) in THROUGH:
                return
            self._seen.add((*names, sent))
            where = names[0]
        old, new = self._resolved_old(old), self._resolved_new(new)
        yield from _types(where, old, new, sent=sent)
        yield from _values(where, old, new, sent=sent)
        yield from _bounds(where, old, new, sent=sent)
        yield from (f"{where}: {name} is another" for name in FIXED if old.get(name) != new.get(name))
        yield from self._members(where, old, new, sent=sent)
        for name in ("items", "additionalProperties"):
            if isinstance(old.get(name), dict) and isinstance(new.get(name), dict):
                yield from self._schema(f"{where}: {name}", old[name], new[name], sent=sent)

    def _members(self, where, old, new, *, sent):
        before, after = old.get("properties", {}), new.get("properties", {})
        for name, schema in before.items():
            if name not in after:
                yield f"{where}: {name} is gone"
            else:
                yield from self._schema(f"{where}: {name}", schema, after[name], sent=sent)
        needed = set(old.get("required", [])), set(new.get("required", []))
        if sent:
            yield from (f"{where}: {name} is required" for name in needed[1] - needed[0])
        else:
            yield from (f"{where}: {name} may be absent" for name in needed[0] - needed[1] if name in after)

    def _resolved_old(self, content):
        return _resolved(self._old, content)

    def _resolved_new(self, content):
        return _resolved(self._new, content)


def _resolved(contract, content):
    """What a reference leads to."""
    while "$ref" in content:
        found = contract
        for name in content["$ref"].split("/")[1:]:
            found = found[name.replace("~1", "/").replace("~0", "~")]
        content = found
    return content


def _types(where, old, new, *, sent):
    before, after = _kinds(old), _kinds(new)
    if sent and before - after:
        yield f"{where}: does not take {', '.join(sorted(before - after))} any more"
    if not sent and after - before:
        yield f"{where}: may be {', '.join(sorted(after - before))} too"


def _kinds(schema):
    """The types that a schema lets through; a number may be whole."""
    if "anyOf" in schema or "oneOf" in schema:
        return set(chain(*(_kinds(one) for one in (*schema.get("anyOf", ()), *schema.get("oneOf", ())))))
    given = schema.get("type", [])
    kinds = {given} if isinstance(given, str) else set(given)
    return kinds | {"integer"} if "number" in kinds else kinds


def _values(where, old, new, *, sent):
    before, after = old.get("enum"), new.get("enum")
    if sent and after is not None and (before is None or set(before) - set(after)):
        yield f"{where}: takes fewer values"
    if not sent and before is not None and (after is None or set(after) - set(before)):
        yield f"{where}: may have more values, and the list is closed"
    if set(old.get(OPEN, [])) - set(new.get(OPEN, [])):
        yield f"{where}: values of the open list are gone"


def _bounds(where, old, new, *, sent):
    for names, sign, none in ((LOWEST, 1, float("-inf")), (HIGHEST, -1, float("inf"))):
        for name in names:
            before, after = old.get(name, none), new.get(name, none)
            narrower = sign * (after - before) if before != after else 0
            if narrower > 0 if sent else narrower < 0:
                yield f"{where}: {name} is {'narrower' if sent else 'wider'}"
