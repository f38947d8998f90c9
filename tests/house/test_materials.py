"""All that comes with dosewren is named, under a licence that was looked at."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from importlib.metadata import Distribution
from typing import Any

import pytest
from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator

from tests.house import materials


@pytest.fixture(scope="module")
def packages() -> Mapping[str, Distribution]:
    return materials.needed()


@pytest.fixture(scope="module")
def bill(packages: Mapping[str, Distribution]) -> dict[str, Any]:
    return materials.bill(packages)


def components(where: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """All of them, those inside others too."""
    for one in where.get("components", ()):
        yield one
        yield from components(one)


def test_every_licence_is_allowed_and_every_library_and_model_is_accounted_for(
    packages: Mapping[str, Distribution],
):
    assert list(materials.complaints(packages)) == []


def test_the_bill_is_valid_by_the_published_schema(bill: dict[str, Any]):
    # source: the CycloneDX project's own library, which carries the schema
    validator = JsonStrictValidator(SchemaVersion.V1_6)
    assert validator.validate_str(json.dumps(bill)) is None
    assert validator.validate_str(json.dumps(bill | {"specVersion": 16})) is not None


def test_models_and_the_voice_are_on_the_bill_with_their_digests(bill: dict[str, Any]):
    found = {one["name"]: one for one in components(bill)}
    found |= {one["name"]: one for one in components(bill["metadata"]["component"])}
    assert found["espeak-ng"]["licenses"] == [{"expression": "GPL-3.0-or-later"}]
    models = [name for name, one in found.items() if one["type"] == "machine-learning-model"]
    assert sorted(models) == ["cmusphinx-en-us", "moonshine-tiny-en", "phone-head"]
    files = [one for one in found.values() if one["type"] == "file"] + [found["phone-head"]]
    assert {len(one["hashes"][0]["content"]) for one in files} == {64}


def test_every_direct_dependency_is_in_it_with_its_version(bill: dict[str, Any]):
    (own,) = (one for one in bill["dependencies"] if one["ref"] == materials.OURS)
    known = {one["bom-ref"] for one in bill["components"]}
    assert set(own["dependsOn"]) <= known
    assert len(own["dependsOn"]) == len(materials.asked_for(materials.PROJECT["dependencies"]))


@pytest.mark.parametrize(
    ("name", "expression", "complaint"),
    [
        ("click", "AGPL-3.0-only", "AGPL-3.0-only is not among the allowed licences"),
        ("click", "MIT AND SSPL-1.0", "SSPL-1.0 is not among the allowed licences"),
        ("click", "GPL-3.0-or-later", "GPL-3.0-or-later is allowed only for espeakng-loader"),
        ("click", None, "names no licence"),
    ],
)
def test_a_licence_that_nobody_looked_at_is_complained_about(
    name: str, expression: str | None, complaint: str
):
    (said,) = materials.of_licence(name, expression)
    assert complaint in said


def test_a_shared_library_that_no_entry_names_is_complained_about(
    packages: Mapping[str, Distribution], monkeypatch: pytest.MonkeyPatch
):
    fewer = [one for one in materials.JUDGED["inside"] if one["name"] != "libsndfile"]
    monkeypatch.setitem(materials.JUDGED, "inside", fewer)
    (said,) = materials.complaints(packages)
    assert said.startswith("soundfile: _soundfile_data/libsndfile")
