"""What is public in Python: names and arguments by the committed list, and the parts of the documentation.

A name or an argument that goes breaks users; `OVERCOAT_WRITE_NAMES=1` accepts what there is now, and
CHANGELOG.md says what changes.
"""

import importlib
import inspect
import os
from collections import Counter
from pathlib import Path

import overcoat

NAMES = Path(__file__).with_name("public_names.txt")
MODULES = ("", ".atmosphere", ".panels", ".plots", ".records", ".types", ".whatif")
# Public callables whose documentation lacks a part: less is to be written here, more is refused.
LACKING = {"Parameters": 0, "Returns": 0, "Raises": 12, "Examples": 16}


def arguments_of(function) -> str:
    """The arguments with their defaults, without annotations."""
    bare = inspect.Parameter.empty
    signature = inspect.signature(function)
    plain = [parameter.replace(annotation=bare) for parameter in signature.parameters.values()]
    return str(signature.replace(parameters=plain, return_annotation=bare))


def members(kind):
    """What a class of this package offers by itself, each under its name."""
    for name in sorted(set(dir(kind))):
        owner = next(one for one in kind.__mro__ if name in vars(one)) if not name.startswith("_") else object
        if owner.__module__.partition(".")[0] == "overcoat":
            yield name, getattr(kind, name)


def public():
    """Everything public under the first name by which it is reached."""
    met = set()
    for ending in MODULES:
        module = importlib.import_module(f"overcoat{ending}")
        for name in sorted(module.__all__):
            thing = getattr(module, name)
            path = f"overcoat{ending}.{name}"
            if id(thing) in met and not isinstance(thing, str):
                continue
            met.add(id(thing))
            yield path, thing
            if inspect.isclass(thing):
                for member, value in members(thing):
                    yield f"{path}.{member}", value


def lines():
    for path, thing in public():
        is_function = callable(thing) and not inspect.isclass(thing)
        yield path + (arguments_of(thing) if is_function else "")


def test_no_public_name_or_argument_goes_unseen():
    found = sorted(lines())
    if os.environ.get("OVERCOAT_WRITE_NAMES"):
        NAMES.write_text("\n".join(found) + "\n", encoding="utf-8")
    known = NAMES.read_text("utf-8").splitlines()
    gone, come = sorted(set(known) - set(found)), sorted(set(found) - set(known))
    assert (gone, come) == ([], []), "accept it with OVERCOAT_WRITE_NAMES=1, say it in CHANGELOG.md"


def lacking(function) -> set[str]:
    """The parts that its documentation should have and has not."""
    said = inspect.getdoc(function) or ""
    arguments = [name for name in inspect.signature(function).parameters if name != "self"]
    needed = {"Returns", "Examples", *(["Parameters", "Raises"] if arguments else [])}
    has = {part for part in needed if f"{part}\n---" in said}
    return needed - has - ({"Returns"} if "Yields\n---" in said else set())


def test_documentation_lacks_no_more_than_it_did():
    functions = {path: thing for path, thing in public() if callable(thing) and not inspect.isclass(thing)}
    assert len(functions) > 80 and all(inspect.getdoc(function) for function in functions.values())
    found = Counter(part for function in functions.values() for part in lacking(function))
    told = {part: [path for path, f in functions.items() if part in lacking(f)] for part in LACKING}
    for part, most in LACKING.items():
        assert found[part] <= most, f"{part} is missing in {', '.join(told[part])}"
        assert found[part] == most, f"only {found[part]} lack {part} now: write that number down"


def test_both_names_of_a_brief_from_text_are_one():
    assert overcoat.read_brief == overcoat.Brief.from_json
