"""What schemathesis needs to know of this service, and checks beside its own. See contract."""

import json
import re

import jsonschema_rs
import schemathesis

# Faults that no schema can tell: a value that reads well and cannot be used with the others, and a name
# that nothing has.
BEYOND_A_SCHEMA = {"unusable", "unknown-name"}

# Faults of form that rest on another member, which the schema does not tie to it: each by its message.
TIED_TO_ANOTHER = (
    r"\d+ entries for \d+ sockets",  # `processors`, to the board's sockets
    r"the report is missing",  # one of `text`, `base64` and `redfish`
    r"the report stands here in more than one form",  # the same
    r"what was found stands here in two forms",  # the same
    r"`.+` is not written as an integer",  # JSON Schema takes 63.0 as one; the document's text does not
    r"the request names \d+ modules",  # the sum of all lines
    r"what was found is missing",  # one of the ways to tell it
    r"`(request|other|optimise|alternative)` is missing",  # by the question that `about` names
    r"`price` is missing",  # where the module has none of its own
)

LINES = "application/x-ndjson"
BULK = "/v1/validate/bulk"


@schemathesis.serializer(LINES)
def write_line(ctx, value):
    """The document describes one line of a stream; a stream of one line is sent."""
    return value if isinstance(value, bytes) else json.dumps(value).encode() + b"\n"


@schemathesis.deserializer(LINES)
def read_line(ctx, response):
    """Of an answer in lines, the first; `every_line_is_as_described` looks at all."""
    return json.loads(response.content.split(b"\n", 1)[0])


def is_positive(case):
    return case.meta is not None and case.meta.generation.mode.is_positive


@schemathesis.check
def a_well_formed_request_is_refused_for_what_it_means(ctx, response, case):
    """A 422 to a well-formed request names faults that no schema could have told."""
    if not is_positive(case) or response.status_code != 422:
        return
    faults = json.loads(response.content)["faults"]
    assert faults, "a refusal without faults"
    others = [
        fault
        for fault in faults
        if fault["code"] not in BEYOND_A_SCHEMA
        and not any(re.fullmatch(known, fault["message"]) for known in TIED_TO_ANOTHER)
    ]
    assert not others, f"refused for its form: {others}"


@schemathesis.check
def every_line_is_as_described(ctx, response, case):
    """Each line of a stream follows the document, and a line that breaks the schema is a problem."""
    if case.operation.path != BULK or response.status_code != 200:
        return
    document = case.operation.schema.raw_schema
    schema = {"$ref": "#/components/schemas/BulkLine", "components": document["components"]}
    validator = jsonschema_rs.validator_for(schema)
    lines = [json.loads(line) for line in response.content.splitlines()]
    for line in lines:
        error = next(validator.iter_errors(line), None)
        assert error is None, f"{error.message} in {line}"
    assert lines[-1].get("complete") is True, f"a stream that was cut: {lines[-1]}"
    body_is_bad = case.meta is not None and "body" in str(
        [kind for kind, info in case.meta.components.items() if info.mode.is_negative]
    ).lower()
    if body_is_bad and case.body not in (b"", None):
        assert all("answer" not in line for line in lines), f"a bad line was decided: {lines[0]}"
