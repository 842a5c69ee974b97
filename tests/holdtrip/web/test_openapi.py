"""The documented interface, fuzzed: no request it describes, right or wrong, makes the server fail."""

import os
from contextlib import suppress

import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis.errors import Unsatisfiable
from schemathesis import Case, GenerationMode


@schemathesis.serializer("application/pdf", "application/octet-stream")
def bytes_as_they_are(_context: object, value: object) -> object:
    """A file's body is sent as it is."""
    return value


EXAMPLES = int(os.environ.get("HOLDTRIP_FUZZ_EXAMPLES", "3"))
"""Requests of each sort for each operation; set it to hundreds for a long run."""


def test_the_interface_describes_itself(site) -> None:
    """Every operation has a description and a tag; the pages themselves are no part of it."""
    schema = site.client.get("/api/openapi.json").json()
    assert len(schema["paths"]) > 15
    for path, operations in schema["paths"].items():
        assert path.startswith("/api/")
        for operation in operations.values():
            assert operation["description"]
            assert operation["tags"]


def test_no_request_makes_the_server_fail(site) -> None:
    """schemathesis sends what the OpenAPI allows and what it forbids: never a 5xx."""
    schema = schemathesis.openapi.from_dict(site.client.get("/api/openapi.json").json())
    schema.config.update(base_url=site.address)
    asked = 0

    def ask(case: Case) -> None:
        nonlocal asked
        asked += 1
        response = case.call(headers={"X-Form-Token": site.form_token}, timeout=60)
        assert response.status_code < 500, f"{case.as_curl_command()}\n{response.text}"

    for found in schema.get_all_operations():
        operation = found.ok()
        for mode in (GenerationMode.POSITIVE, GenerationMode.NEGATIVE):
            run = given(operation.as_strategy(generation_mode=mode))(ask)
            bounded = settings(max_examples=EXAMPLES, deadline=None, database=None, derandomize=True,
                               suppress_health_check=list(HealthCheck))(run)
            with suppress(Unsatisfiable):  # an operation without parameters has no wrong request
                bounded()
    assert asked > 100
