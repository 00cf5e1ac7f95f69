#!/usr/bin/env python3
"""Writes what the wheel is made from and needs as a software bill of materials (CycloneDX 1.6, JSON).

    python tests/sbom.py [--out FILE]

Rust packages that become part of the module, from `cargo metadata`; Python packages that the installed
`overcoat` requires, with the extras of users marked as optional. The document is checked against the schema
of CycloneDX before it is written. It is made for a release; kept in the repository it would be stale.
"""

import argparse
import sys
from pathlib import Path

from check_licenses import EXTRAS, Package, python_packages, shipped_rust_packages
from cyclonedx.model import ExternalReference, ExternalReferenceType, XsUri
from cyclonedx.model.bom import Bom
from cyclonedx.model.component import Component, ComponentScope, ComponentType
from cyclonedx.model.license import LicenseExpression
from cyclonedx.output.json import JsonV1Dot6
from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator
from packageurl import PackageURL

KINDS = {"rust": "cargo", "python": "pypi"}


def component(package: Package, scope: ComponentScope, repository: str | None = None) -> Component:
    """One package with its address in the registry and its license."""
    address = PackageURL(KINDS[package.kind], None, package.name, package.version)
    return Component(
        name=package.name,
        version=package.version,
        type=ComponentType.LIBRARY,
        scope=scope,
        purl=address,
        bom_ref=address.to_string(),
        licenses=[LicenseExpression(package.license.replace("/", " OR "))] if package.license else [],
        external_references=[ExternalReference(type=ExternalReferenceType.VCS, url=XsUri(repository))]
        if repository
        else [],
    )


def bill() -> Bom:
    """Overcoat, and everything that it is made from or needs."""
    bom = Bom()
    needed = {package.name for package in python_packages(extras=())}
    for package in python_packages(extras=EXTRAS):
        scope = ComponentScope.REQUIRED if package.name in needed else ComponentScope.OPTIONAL
        bom.components.add(component(package, scope))
    for one in shipped_rust_packages():
        package = Package("rust", one["name"], one["version"], one["license"] or "")
        made = component(package, ComponentScope.REQUIRED, one["repository"])
        if one["name"] == "overcoat":
            bom.metadata.component = made
        elif one["name"] != "overcoat-python":  # a part of the same release
            bom.components.add(made)
    bom.register_dependency(bom.metadata.component, bom.components)
    return bom


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--out", type=Path, help="file to write; the screen without it")
    options = parser.parse_args()
    bom = bill()
    text = JsonV1Dot6(bom).output_as_string(indent=2)
    if problem := JsonStrictValidator(SchemaVersion.V1_6).validate_str(text):
        print(f"error: the bill does not meet the schema of CycloneDX: {problem}", file=sys.stderr)
        return 1
    if options.out:
        options.out.write_text(text + "\n", encoding="utf-8")
        print(f"{options.out}: {len(bom.components)} packages")
    else:
        print(text)
    return 0


if __name__ == "__main__":
    sys.exit(main())
