"""The stub `_core.pyi` and the compiled module say the same."""

import ast
import inspect
import json
from pathlib import Path

import pytest

import overcoat
import overcoat.types
from overcoat import _core

STUB = Path(overcoat.__file__).with_name("_core.pyi")
BODY = ast.parse(STUB.read_text("utf-8")).body
CLASSES = {node.name: node for node in BODY if isinstance(node, ast.ClassDef)}
FUNCTIONS = {node.name: node for node in BODY if isinstance(node, ast.FunctionDef)}
VALUES = {node.target.id for node in BODY if isinstance(node, ast.AnnAssign)}
ERRORS = [name for name in CLASSES if issubclass(getattr(_core, name), Exception)]
DATA_CLASSES = [name for name in CLASSES if name not in ERRORS]

# Underscored names that callers rely on; comparison and repr have every object.
PROTOCOL = {
    "__len__",
    "__getitem__",
    "__iter__",
    "__float__",
    "_repr_html_",
    "__arrow_c_stream__",
    "__arrow_c_array__",
}


def members(node: ast.ClassDef) -> dict[str, ast.stmt]:
    found: dict[str, ast.stmt] = {}
    for statement in node.body:
        if isinstance(statement, ast.FunctionDef):
            found[statement.name] = statement
        elif isinstance(statement, ast.AnnAssign):
            found[statement.target.id] = statement
    return found


def is_property(node: ast.stmt) -> bool:
    return any(isinstance(d, ast.Name) and d.id == "property" for d in node.decorator_list)


def public(names) -> set[str]:
    return {name for name in names if not name.startswith("_") or name in PROTOCOL}


def written_signature(function: ast.FunctionDef) -> list[tuple[str, str | None]]:
    """Parameters with the text of their defaults, `self` left out."""
    parameters = [*function.args.posonlyargs, *function.args.args]
    assert not function.args.vararg
    defaults = [None] * (len(parameters) - len(function.args.defaults)) + [
        ast.unparse(default) for default in function.args.defaults
    ]
    named = zip(function.args.kwonlyargs, function.args.kw_defaults, strict=True)
    keyword_only = [(p.arg, None if d is None else ast.unparse(d)) for p, d in named]
    rest = [(function.args.kwarg.arg, None)] if function.args.kwarg else []
    first = [(p.arg, d) for p, d in zip(parameters, defaults, strict=True) if p.arg != "self"]
    return [*first, *keyword_only, *rest]


def true_signature(function) -> list[tuple[str, str | None]]:
    return [
        (p.name, None if p.default is p.empty else repr(p.default))
        for p in inspect.signature(function).parameters.values()
        if p.name != "self"
    ]


def test_the_names_of_the_module_are_those_of_the_stub():
    written = {*CLASSES, *FUNCTIONS, *VALUES}
    assert public(vars(_core)) == public(written)
    assert set(_core.__all__) == written


@pytest.mark.parametrize("name", DATA_CLASSES)
def test_the_members_of_a_class_are_those_of_the_stub(name):
    true, written = vars(getattr(_core, name)), members(CLASSES[name])
    assert public(true) == public(written)
    for member in public(written) - PROTOCOL:
        is_getter = not callable(getattr(getattr(_core, name), member))
        assert is_getter == is_property(written[member]), f"{name}.{member}"


@pytest.mark.parametrize("name", DATA_CLASSES)
def test_hashing_is_as_the_stub_says(name):
    written = members(CLASSES[name]).get("__hash__")
    unhashable = isinstance(written, ast.AnnAssign)
    assert (getattr(_core, name).__hash__ is None) == unhashable


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_function_has_the_parameters_of_the_stub(name):
    assert true_signature(getattr(_core, name)) == written_signature(FUNCTIONS[name])


@pytest.mark.parametrize(
    ("owner", "method"),
    [
        (owner, method)
        for owner in DATA_CLASSES
        for method, node in members(CLASSES[owner]).items()
        if isinstance(node, ast.FunctionDef)
        and not is_property(node)
        and method in public([method])
        # C slots have no signature of their own
        and not method.startswith("__")
    ],
)
def test_a_method_has_the_parameters_of_the_stub(owner, method):
    written = members(CLASSES[owner])[method]
    assert true_signature(getattr(getattr(_core, owner), method)) == written_signature(written)
    static = any(isinstance(d, ast.Name) and d.id == "staticmethod" for d in written.decorator_list)
    assert static == isinstance(vars(getattr(_core, owner))[method], staticmethod)


BRIEF_WITH_A_BUILD_THAT_NOBODY_CAN_MAKE = """{
    "schema": "overcoat.brief.v1",
    "name": "paint over wax",
    "part": {"form": "bracket", "base_metal": "steel_4_6", "mass_g": 300, "surface_dm2": 2.5},
    "duty": {"place": "urban", "required_years": 5},
    "wants": {"builds": [{"treatment": "hot_alkaline", "films": ["hard_wax", "air_dry_paint"]}]}
}"""

REFUSALS = {
    "InvalidValueError": lambda: overcoat.corrosivity("steel", -1.0),
    "UnknownNameError": lambda: overcoat.corrosivity("stele", 1.0),
    "DocumentError": lambda: overcoat.Brief.from_json("{}"),
    "BuildError": lambda: overcoat.rank(overcoat.Brief.from_json(BRIEF_WITH_A_BUILD_THAT_NOBODY_CAN_MAKE)),
    "TableError": lambda: overcoat.first_year_loss("steel", [10.0], [101.0], [5.0], [3.0]),
}


def test_every_error_has_a_refusal_here():
    assert {*REFUSALS, "OvercoatError"} == set(ERRORS)


@pytest.mark.parametrize("name", REFUSALS)
def test_an_error_carries_the_attributes_of_the_stub(name):
    with pytest.raises(overcoat.OvercoatError) as caught:
        REFUSALS[name]()
    assert type(caught.value).__name__ == name
    written = {*members(CLASSES["OvercoatError"]), *members(CLASSES[name])}
    assert {*members(CLASSES[name])} <= set(vars(caught.value)) <= written
    assert all(hasattr(caught.value, fact) for fact in written)
    assert [ast.unparse(base) for base in CLASSES[name].bases] == ["OvercoatError"]


def test_the_package_passes_on_what_it_lists():
    assert sorted(overcoat.__all__) == overcoat.__all__
    for name in overcoat.__all__:
        assert getattr(overcoat, name) is not None
    # `SweptTable` is what the engine hands to `sweep`, which gives tables of the user's kind
    assert {*CLASSES} - {"SweptTable"} <= {*overcoat.__all__, *overcoat.types.__all__}


# Part, duty and wants

SECTIONS = STUB.with_name("_sections.pyi")
PLAIN = {"string": "str", "number": "float", "integer": "int", "boolean": "bool"}


def annotation(field: dict, definitions: dict) -> str:
    """How a value of a field of a brief is annotated, by its schema."""
    for one in field.get("anyOf", [field]):
        if "$ref" in one:
            kind = definitions[one["$ref"].rpartition("/")[2]]
            if "properties" in kind:
                return "Section"
            return "str" if all("const" in word or "enum" in word for word in kind["oneOf"]) else "Any"
    kind = field["type"] if isinstance(field["type"], str) else field["type"][0]
    if kind != "array":
        return PLAIN[kind]
    entry = annotation(field["items"], definitions)
    return f"list[{'dict[str, Any]' if entry == 'Section' else entry}]"


def sections() -> str:
    """The stub of the sections of a brief, from the schema."""
    definitions = json.loads(overcoat.schema("brief"))["$defs"]
    lines = ["from abc import ABCMeta", "from collections.abc import Mapping", "from typing import Any", ""]
    lines += ["from overcoat._documents import Section", ""]
    for title in ("Part", "Duty", "Wants"):
        lines += [f"class {title}(Mapping[str, Any], metaclass=ABCMeta):"]
        for name, field in definitions[title]["properties"].items():
            given = annotation(field, definitions)
            maybe = "" if name in definitions[title].get("required", []) or given == "Any" else " | None"
            lines += ["    @property", f"    def {name}(self) -> {given}{maybe}: ..."]
        lines += [""]
    return "\n".join(lines)


def test_sections_of_a_brief_have_the_fields_and_types_of_the_schema():
    assert SECTIONS.read_text("utf-8") == sections()
