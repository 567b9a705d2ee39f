"""Every kind of problem this service answers with: its code, HTTP status, title and what to do about it.

The pages under `/problems` and the answers are made from these rows.
"""

from typing import NamedTuple


class Kind(NamedTuple):
    """One kind of problem. `code` is the last part of its `type`."""

    code: str
    status: int
    title: str
    description: str


_KINDS = (
    # the text of a request
    Kind("empty", 400, "Empty body", "The request has no body. Send one JSON object."),
    Kind("not_utf8", 400, "Not UTF-8", "Send the text as UTF-8 without a byte order mark."),
    Kind("not_json", 400, "Not JSON", "The text breaks the rules of JSON (RFC 8259) at the place named."),
    Kind("not_an_object", 400, "Not an object", "The top level of the text has to be a JSON object."),
    Kind(
        "not_a_number", 400, "Not a number", "JSON has no NaN and no Infinity. Leave out what is not known."
    ),
    Kind("number_too_large", 400, "Number too large", "A number does not fit; see the bounds of its field."),
    Kind(
        "too_deep", 400, "Nested too deeply", "Objects and lists are nested deeper than this service reads."
    ),
    Kind(
        "too_many_containers",
        400,
        "Too many objects",
        "The text holds more objects and lists than this service reads.",
    ),
    Kind("duplicate_member", 400, "Member named twice", "Two members of one object have the same name."),
    Kind(
        "lone_surrogate", 400, "Half a character", "An escape stands for half a character; send both halves."
    ),
    Kind(
        "too_many_marks",
        400,
        "Too many combining characters",
        "More than 30 combining characters stand in a row (Unicode Standard Annex 15, Stream-Safe Text Format). "
        "Check the encoding of the text.",
    ),
    # the request around it
    Kind(
        "invalid_query",
        400,
        "Invalid query",
        "A query parameter is not known here or has a value it may not have.",
    ),
    Kind(
        "working_not_in_batch",
        400,
        "No working in a batch",
        "The working is given for one condition at a time: ask for it with `POST /v1/assessments?working=true`.",
    ),
    Kind(
        "query_members_exclude_each_other",
        400,
        "Query members exclude each other",
        "The query asks for two shapes of the answer at once. Ask for each by itself.",
    ),
    Kind(
        "working_not_with_plan",
        400,
        "No working of a plan",
        "The working of a plan is that of a point of it: ask for `point` as well.",
    ),
    Kind(
        "question_not_with_plan",
        400,
        "Not of a plan",
        "Sensitivities, remedies and uncertainty are answered for a condition by itself. Ask for `point`, and post the "
        "`condition` it answers with.",
    ),
    Kind("bad_request", 400, "Bad request", "The request could not be read."),
    Kind(
        "unreadable_encoding",
        400,
        "Unreadable encoding",
        "The body is not what its `Content-Encoding` says. Send it packed whole as gzip (RFC 1952), or not packed.",
    ),
    Kind("invalid_header", 400, "Invalid header", "A header field has a value it may not have."),
    # who asks
    Kind(
        "unauthenticated",
        401,
        "No valid key",
        "Send a key as `Authorization: Bearer <key>`. Keys are made by the administrator of the installation.",
    ),
    Kind("forbidden", 403, "Not for this role", "The role of the key may not do this; ask an administrator."),
    Kind("rate_limited", 429, "Too many requests", "Wait as many seconds as `Retry-After` says."),
    # what is kept
    Kind("unknown_condition", 404, "Unknown condition", "There is none of that id, or none the key may see."),
    Kind(
        "no_records",
        422,
        "Nothing is stored here",
        "A stored condition is named where none are stored. Send the condition itself, or ask a service that stores it "
        "(`python -m service check --url`).",
    ),
    Kind("unknown_revision", 404, "Unknown revision", "The history does not reach that number."),
    Kind("point_not_found", 404, "No such point", "The plan has no point of that number."),
    Kind(
        "consumption_missing",
        422,
        "No consumption",
        "Days of consumption are asked for, and the plan of the condition says nothing of what is used a day. Give a "
        "percentage, or enter the consumption in its `plan`.",
    ),
    Kind("unknown_unfinished", 404, "Nothing being typed", "Nothing is being typed under that name."),
    Kind(
        "too_many_unfinished",
        409,
        "Too many being typed",
        "A vessel has at most 50 conditions that are being typed. Remove one, or keep it as a condition.",
    ),
    Kind("unknown_webhook", 404, "Unknown webhook", "There is none of that id, or none that is the key's."),
    Kind("unknown_key", 404, "Unknown key", "There is no key of that id."),
    Kind("unknown_fleet", 404, "Unknown fleet", "There is no fleet of that id, or it is no id of a fleet."),
    Kind(
        "precondition_required",
        428,
        "If-Match missing",
        "Read the record, and send its `ETag` as `If-Match` with the change, so that no one overwrites what "
        "they have not seen.",
    ),
    Kind(
        "stale",
        412,
        "Changed by somebody else",
        "The record is not in the state named by `If-Match` any more. Read it again (`ETag` names the present state), "
        "look at what changed, and decide anew. Nothing was stored.",
    ),
    Kind("own_revision", 409, "Own revision", "A revision is reviewed by somebody other than its author."),
    Kind("conflict", 409, "Conflict", "The request contradicts what is stored."),
    Kind(
        "feed_rewound",
        409,
        "Feed rewound",
        "`after` lies beyond the end of the feed: a backup was restored, or the number is of another installation. "
        "`head` is where the feed ends. Take everything again from `after=0`, or from the last change whose digest is "
        "the one that was taken.",
    ),
    Kind("id_taken", 409, "Id taken", "A record of that id is kept. Choose another, or leave it out."),
    Kind(
        "imo_number_taken",
        409,
        "IMO number taken",
        "Another vessel has that IMO number, perhaps one the key may not see. One number stands for one ship.",
    ),
    Kind(
        "reference_taken",
        409,
        "Reference taken",
        "The key entered another record under that `reference`. Read that one, or give another.",
    ),
    Kind(
        "idempotency_in_flight",
        409,
        "Being answered",
        "A request with this Idempotency-Key is being answered just now. Try again shortly.",
    ),
    Kind(
        "idempotency_key_reused",
        422,
        "Idempotency-Key used before",
        "The same Idempotency-Key came with another request. Use a new one for every new request.",
    ),
    Kind(
        "records_busy",
        503,
        "Records busy",
        "Another write took too long. Nothing was stored; try again.",
    ),
    Kind(
        "records_unavailable",
        503,
        "Records unavailable",
        "The database cannot be reached or written to. Nothing was stored. Send the same request again after "
        "`Retry-After` seconds, a POST with the same `Idempotency-Key`.",
    ),
    Kind(
        "records_damaged",
        500,
        "Records damaged",
        "The stored records are inconsistent. The operator should run `verify` and look for a backup.",
    ),
    Kind("not_found", 404, "Not found", "There is nothing at this address."),
    Kind(
        "method_not_allowed",
        405,
        "Method not allowed",
        "This address does not take this method; see `Allow`.",
    ),
    Kind(
        "not_acceptable", 406, "Not acceptable", "This address does not answer in the media type asked for."
    ),
    Kind("unfinished_too_large", 413, "Too much typed", "An unfinished condition has at most 256,000 bytes."),
    Kind("body_too_large", 413, "Body too large", "The body is longer than this installation takes."),
    Kind(
        "line_too_long", 413, "Line too long", "A line of the batch is longer than this installation takes."
    ),
    Kind(
        "header_too_large",
        431,
        "Header field too large",
        "A header field is longer than 8 kB. Send shorter ones; no key, tag or cookie of this service is that long.",
    ),
    Kind("address_too_long", 414, "Address too long", "Path and query together are longer than 8 kB."),
    Kind(
        "body_too_slow",
        408,
        "Body too slow",
        "Nothing more of the body came for half a minute. Send the request again, without pauses.",
    ),
    Kind(
        "too_many_refused",
        422,
        "Too many lines refused",
        "1,000 lines of the batch in a row were refused, so the rest of it was not read. Look at their problems first.",
    ),
    Kind(
        "unsupported_media_type", 415, "Unsupported media type", "Send the media type the address documents."
    ),
    # what the documents say
    Kind(
        "invalid_request",
        422,
        "Invalid request",
        "The request breaks its published schema at the places named.",
    ),
    Kind(
        "invalid_vessel", 422, "Invalid vessel", "The vessel document contradicts itself at the places named."
    ),
    Kind(
        "invalid_condition",
        422,
        "Invalid condition",
        "The condition does not fit the vessel at the places named.",
    ),
    Kind("unknown_vessel", 404, "Unknown vessel", "No vessel with this id is stored here."),
    Kind(
        "booklet_not_readable",
        422,
        "Booklet not readable",
        "The workbook was read and cannot be stored; `reading` names every cell.",
    ),
    Kind("unknown_rule_set", 422, "Unknown rule set", "A rule set is named that is not in `/v1/rule-sets`."),
    Kind(
        "no_such_rule_set", 404, "No such rule set", "There is no rule set of that name; see `/v1/rule-sets`."
    ),
    Kind("unknown_tank", 422, "Unknown tank", "A tank is named that the vessel does not have."),
    Kind(
        "outside_table",
        422,
        "Outside a table",
        "A figure lies outside a table of the booklet; none is extended.",
    ),
    Kind(
        "no_positive_gm",
        422,
        "No positive GM",
        "The readings do not grow with the moment: check their signs, those of the moments, and the pendulums.",
    ),
    Kind(
        "plan_too_long",
        422,
        "Plan too long",
        "At most 300 points of a plan are assessed. Make `every_days` greater, the stages fewer, or their changes "
        "`ends`.",
    ),
    Kind(
        "no_equilibrium",
        422,
        "No equilibrium",
        "No position was found in which she floats with this loading.",
    ),
    Kind(
        "target_unknown",
        422,
        "Unknown target",
        "A criterion is named that is not checked in this condition; see `criteria` of its assessment.",
    ),
    Kind(
        "no_tank_may_change",
        422,
        "No tank may change",
        "Name tanks with `tanks`, and with `conserve` the contents that may not be taken on or pumped out.",
    ),
    Kind("not_computable", 422, "Not computable", "The documents lack what the computation needs."),
    # the service
    Kind("internal", 500, "Internal error", "The service failed. Quote `request_id` when reporting it."),
    Kind(
        "solver_not_installed",
        501,
        "No solver",
        "This installation has no solver for linear programmes: install it with the extra `remedies`. Mode `single` "
        "needs none.",
    ),
    Kind("busy", 503, "Busy", "All calculation slots are taken. Try again after `Retry-After` seconds."),
    Kind("not_ready", 503, "Not ready", "The service is starting or stopping. Try again."),
)

KINDS: dict[str, Kind] = {kind.code: kind for kind in _KINDS}


def kind_of(code: str) -> Kind:
    """The row of `code`; a refusal under a code without a row is answered as an invalid request."""
    return KINDS.get(code, KINDS["invalid_request"])
