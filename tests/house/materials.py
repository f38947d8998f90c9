"""The bill of materials of an installed dosewren: `python -m tests.house.materials [FILE]`.

Follows what pyproject.toml asks for through the metadata of the installed packages, adds the
libraries, models and data inside them from materials.toml, writes all of it as CycloneDX JSON (to
FILE or to standard output), and ends with 1 where a licence is not among the allowed ones or a
shared library or a large file is not accounted for.  Nothing is fetched.

Source: CycloneDX 1.6, https://cyclonedx.org/docs/1.6/json; SPDX licence expressions, SPDX 2.3 annex
D; package URLs, https://github.com/package-url/purl-spec.
"""

from __future__ import annotations

import hashlib
import json
import re
import sys
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from fnmatch import fnmatch
from importlib.metadata import Distribution, PackagePath, distribution
from pathlib import Path
from typing import Any

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from assistant import __version__

ROOT = Path(__file__).parents[2]
JUDGED: dict[str, Any] = tomllib.loads(Path(__file__).with_suffix(".toml").read_text("utf-8"))
PROJECT: Mapping[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
OURS = f"pkg:pypi/{PROJECT['name']}@{__version__}"
LARGE = 1_000_000
"""Bytes from which a file that is no code has to be accounted for."""

SHARED_LIBRARY = re.compile(r"\.(so(\.[\d.]+)?|dylib|dll)$")
OWN_CODE = re.compile(r"\.(cpython-[^.]+|abi3)\.so$|\.(py|pyi|pyc|pyd)$")

Component = dict[str, Any]


def needed() -> dict[str, Distribution]:
    """All that ours pulls in here, by canonical name, in the order of names."""
    found: dict[str, Distribution] = {}
    waiting = asked_for(PROJECT["dependencies"])
    while waiting:
        name = waiting.pop()
        if name not in found:
            found[name] = distribution(name)
            waiting += asked_for(found[name].requires or ())
    return dict(sorted(found.items()))


def asked_for(requirements: Iterable[str]) -> list[str]:
    """The names of what is asked for on this machine, without extras."""
    return [
        canonicalize_name(each.name)
        for each in map(Requirement, requirements)
        if each.marker is None or each.marker.evaluate({"extra": ""})
    ]


def licence(name: str, one: Distribution) -> str | None:
    """The SPDX expression of a package: as it says itself, as it was read for it, or none."""
    if name in JUDGED["read"]:
        return str(JUDGED["read"][name]["licence"])
    fields = ("License-Expression", "License", "Classifier")
    texts = [text for field in fields for text in one.metadata.get_all(field) or ()]
    for text in texts:
        expression = str(JUDGED["spelt"].get(text, text))
        if terms(expression) <= JUDGED["allowed"].keys():
            return expression
    return next(iter(one.metadata.get_all("License-Expression") or ()), None)


def terms(expression: str) -> set[str]:
    """The licences that an expression is made of; one with an exception stays whole."""
    return {term.strip("() ") for term in re.split(r"\s(?:AND|OR)\s", expression)}


def files_of(one: Distribution) -> list[PackagePath]:
    """The files that are there: a record may name more."""
    return [path for path in one.files or () if Path(str(path.locate())).is_file()]


def bill(packages: Mapping[str, Distribution]) -> Component:
    """The bill; only versions and files decide what is in it."""
    wanted = {OURS: asked_for(PROJECT["dependencies"])}
    wanted |= {reference(one): asked_for(one.requires or ()) for one in packages.values()}
    return {
        "$schema": "http://cyclonedx.org/schema/bom-1.6.schema.json",
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "version": 1,
        "metadata": {"component": ours()},
        "components": [package(name, one) | parts(name, one) for name, one in packages.items()],
        "dependencies": [
            {"ref": ref, "dependsOn": sorted({reference(packages[name]) for name in names})}
            for ref, names in wanted.items()
        ],
    }


def ours() -> Component:
    """Our own entry, with its own model and data."""
    return {
        "type": "application",
        "bom-ref": OURS,
        "name": PROJECT["name"],
        "version": __version__,
        "purl": OURS,
        "licenses": [{"expression": PROJECT["license"]}],
        "components": list(our_data()),
    }


def reference(one: Distribution) -> str:
    """The package URL, which is also the reference within the bill."""
    return f"pkg:pypi/{canonicalize_name(one.metadata['Name'])}@{one.version}"


def package(name: str, one: Distribution) -> Component:
    """A package with its version and licence."""
    expression = licence(name, one)
    return {
        "type": "library",
        "bom-ref": reference(one),
        "name": name,
        "version": one.version,
        "purl": reference(one),
        **({"licenses": [{"expression": expression}]} if expression else {}),
    }


def parts(name: str, one: Distribution) -> Component:
    """What materials.toml names inside a package, with the digests of its files."""
    inside = [
        {**judged(entry), "components": [digested(path) for path in here]}
        for entry in JUDGED["inside"]
        if entry["package"] == name
        if (here := [path for path in files_of(one) if matches(entry, path)])
    ]
    return {"components": inside} if inside else {}


def our_data() -> Iterator[Component]:
    """Our own model and data, which have other terms or another origin than the code."""
    for entry in JUDGED["own"]:
        yield {**judged(entry), "hashes": [sha_256((ROOT / entry["file"]).read_bytes())]}


def judged(entry: Mapping[str, str]) -> Component:
    """A part, and where its licence was read."""
    return {
        "type": entry["kind"],
        "name": entry["name"],
        "licenses": [{"expression": entry["licence"]}],
        "properties": [{"name": "dosewren:licence-read-in", "value": entry["in"]}],
    }


def matches(entry: Mapping[str, Any], path: PackagePath) -> bool:
    """Whether an entry names the file."""
    return any(fnmatch(path.as_posix(), pattern) for pattern in entry["files"])


def digested(path: PackagePath) -> Component:
    """A file with its digest."""
    content = Path(str(path.locate())).read_bytes()
    return {"type": "file", "name": path.as_posix(), "hashes": [sha_256(content)]}


def sha_256(content: bytes) -> Component:
    """A digest, as the bill writes it."""
    return {"alg": "SHA-256", "content": hashlib.sha256(content).hexdigest()}


def complaints(packages: Mapping[str, Distribution]) -> Iterator[str]:
    """What is not allowed or not accounted for, in sentences."""
    for name, one in packages.items():
        yield from of_licence(name, licence(name, one))
        entries = [entry for entry in JUDGED["inside"] if entry["package"] == name]
        for path in files_of(one):
            if unaccounted(path) and not any(matches(entry, path) for entry in entries):
                yield f"{name}: {path} is in no entry of materials.toml"
    for entry in (*JUDGED["inside"], *JUDGED["own"]):
        yield from of_licence(entry["name"], entry["licence"])


def of_licence(name: str, expression: str | None) -> Iterator[str]:
    """What is wrong with the licence of a package or a part."""
    if expression is None:
        yield f"{name}: its metadata names no licence; read it and enter it in materials.toml"
        return
    for term in sorted(terms(expression)):
        if term not in JUDGED["allowed"]:
            yield f"{name}: {term} is not among the allowed licences"
        elif name not in JUDGED["reserved"].get(term, [name]):
            yield f"{name}: {term} is allowed only for {', '.join(JUDGED['reserved'][term])}"


def unaccounted(path: PackagePath) -> bool:
    """Whether a file needs an entry: a shared library, or large and no code of the package."""
    if OWN_CODE.search(path.name):
        return False
    size = Path(str(path.locate())).stat().st_size
    return bool(SHARED_LIBRARY.search(path.name)) or size > LARGE


def main(target: str | None) -> int:
    """Write the bill, and say what is wrong."""
    packages = needed()
    text = json.dumps(bill(packages), indent=2, ensure_ascii=False) + "\n"
    if target:
        Path(target).write_text(text, encoding="utf-8")
    else:
        sys.stdout.write(text)
    wrong = list(complaints(packages))
    for sentence in wrong:
        sys.stderr.write(f"{sentence}\n")
    sys.stderr.write(f"{len(packages)} packages, {len(wrong)} complaints\n")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1] if len(sys.argv) > 1 else None))
