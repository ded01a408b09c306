"""The schema is a JSON Schema of draft 2020-12, checked with the general-purpose library ``jsonschema``."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import best_match

from assistant.procedure.load import list_procedures
from assistant.procedure.schema import DRAFT, schema
from tests.procedure.small import SMALL, broken

SCHEMA = schema()
VALIDATOR = Draft202012Validator(SCHEMA)


def test_it_is_a_schema_of_the_draft_it_names() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == DRAFT == Draft202012Validator.META_SCHEMA["$id"]


@pytest.mark.parametrize("path", list_procedures(), ids=lambda path: path.stem)
def test_every_shipped_procedure_is_valid_by_it(path: Path) -> None:
    document = tomllib.loads(path.read_text(encoding="utf-8"))
    assert [error.message for error in VALIDATOR.iter_errors(document)] == []


def test_every_key_of_every_table_is_described() -> None:
    """An editor shows the description while one types: none may be missing."""
    tables: dict[str, dict[str, Any]] = {"(file)": SCHEMA, **SCHEMA["$defs"]}
    bare = [
        f"{table}.{key}"
        for table, body in tables.items()
        for key, one in body["properties"].items()
        if len(one.get("description", "")) < 4
    ]
    assert bare == []
    assert all(body.get("description") for body in tables.values())
    assert {"Check", "Fault", "Fix", "Access", "Caution", "Place", "Question", "ProofStep", "Figures"} <= set(tables)


def test_nothing_is_offered_that_no_toml_file_can_hold() -> None:
    text = repr(SCHEMA)
    assert "'null'" not in text
    assert "'default': None" not in text


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('title = "dead lamp"', 'titel = "dead lamp"', "titel"),
        ("minutes = 2.5", 'minutes = "two"', "'two' is not of type 'number'"),
        ("minutes = 2.5", "minutes = 900", "900 is greater than the maximum of 600"),
        ('kind = "choice"', 'kind = "chioce"', "'chioce' is not one of"),
        ("low = 9.5", "low = true", "True is not of type 'number'"),
        ("format = 1", "format = 2", "1 was expected"),
        ("[proof]", "[proofs]", "proof"),
    ],
)
def test_what_an_editor_would_mark(old: str, new: str, says: str) -> None:
    document = tomllib.loads(broken(old, new).replace("[[proof.steps]]", f"[[{new.strip('[]')}.steps]]", 1)
                             if old == "[proof]" else broken(old, new))  # fmt: skip
    error = best_match(VALIDATOR.iter_errors(document))
    assert error is not None
    assert any(says in one.message for one in VALIDATOR.iter_errors(document)), error.message


def test_a_survey_may_leave_out_what_mends() -> None:
    document = tomllib.loads(SMALL)
    for key in ("faults", "fixes", "proof"):
        del document[key]
    assert not VALIDATOR.is_valid(document)
    assert VALIDATOR.is_valid({**document, "kind": "survey"})
