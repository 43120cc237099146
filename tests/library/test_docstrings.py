"""Public docstrings keep their promise: numpydoc, the signature's names, units in brackets."""

import dataclasses
import importlib
import inspect
import pkgutil
import re

import bandwork
import pytest
from bandwork import workshop

NOT_PHYSICS = {"classroom", "cli"}
GENERIC = {"bandwork.validation"}
"""Modules whose numbers have the unit that the caller gives them."""

NUMERIC = re.compile(r"\b(float|array_like|ndarray|Interval)\b")
REFUSES = re.compile(r"\b(InputError|within|numbers|single|settle|together)\(")
MODULES = [importlib.import_module(f"bandwork.{found.name}")
           for found in pkgutil.iter_modules(bandwork.__path__) if found.name not in NOT_PHYSICS]
MODULES += [importlib.import_module(f"bandwork.workshop.{found.name}")
            for found in pkgutil.iter_modules(workshop.__path__)]


def public():
    """Every public function, class, method and property, with the name to report it by."""
    for module in MODULES:
        for name, thing in vars(module).items():
            if name.startswith("_") or getattr(thing, "__module__", "") != module.__name__:
                continue
            yield f"{module.__name__}.{name}", thing, None
            if inspect.isclass(thing):
                for attribute, value in vars(thing).items():
                    inner = value.__func__ if isinstance(value, (classmethod, staticmethod)) \
                        else value
                    if not attribute.startswith("_") and (
                            inspect.isfunction(inner) or isinstance(inner, property)):
                        yield f"{module.__name__}.{name}.{attribute}", inner, thing


def is_override(name, owner):
    return owner is not None and any(name in vars(base) for base in owner.__mro__[1:])


ALL = [pytest.param(thing, owner, id=name) for name, thing, owner in public()
       if inspect.isfunction(thing) or inspect.isclass(thing) or isinstance(thing, property)]
FUNCTIONS = [one for one in ALL if inspect.isfunction(one.values[0])
             and not is_override(one.values[0].__name__, one.values[1])]
DATACLASSES = [one for one in ALL if dataclasses.is_dataclass(one.values[0])]
PROPERTIES = [one for one in ALL if isinstance(one.values[0], property)]


def sections(thing):
    """The numpydoc sections of a docstring: title -> list of (head, text) entries."""
    lines = inspect.getdoc(thing).splitlines()
    marks = [i for i in range(len(lines) - 1)
             if lines[i] and set(lines[i + 1]) == {"-"} and len(lines[i]) == len(lines[i + 1])]
    found = {}
    for start, end in zip(marks, [*marks[1:], len(lines)], strict=True):
        entries = []
        for line in lines[start + 2:end]:
            if line and not line.startswith(" "):
                entries.append([line, ""])
            elif line and entries:
                entries[-1][1] += " " + line.strip()
        found[lines[start]] = entries
    return found


def names(entries):
    return [name.strip().lstrip("*") for head, _ in entries
            for name in head.split(" : ")[0].split(",")]


def without_unit(entries):
    return [head for head, text in entries
            if NUMERIC.search(head.split(" : ")[-1]) and not re.search(r"\[.+?\]", head + text)]


def has_unit_rule(thing):
    return thing.__module__ not in GENERIC


@pytest.mark.parametrize(("thing", "owner"), ALL)
def test_a_docstring_begins_with_one_sentence(thing, owner):
    first = (inspect.getdoc(thing) or "").split("\n\n")[0]
    assert first, "no docstring"
    assert first.rstrip()[-1] in ".:;]", first


@pytest.mark.parametrize(("function", "owner"), FUNCTIONS)
def test_a_function_documents_what_its_signature_says(function, owner):
    signature = inspect.signature(function)
    given = [name for name in signature.parameters if name not in ("self", "cls")]
    told = sections(function)
    assert names(told.get("Parameters", [])) == given
    if signature.return_annotation not in (None, "None", inspect.Signature.empty):
        assert told.keys() & {"Returns", "Yields"}
    if REFUSES.search(inspect.getsource(function)):
        assert "InputError" in names(told.get("Raises", []))
    if has_unit_rule(function):
        assert without_unit(told.get("Parameters", [])) == []
        assert without_unit(told.get("Returns", [])) == []


@pytest.mark.parametrize(("kind", "owner"), DATACLASSES)
def test_a_class_documents_its_fields(kind, owner):
    fields = [field.name for field in dataclasses.fields(kind)]
    told = sections(kind)
    entries = told.get("Parameters", []) + told.get("Attributes", [])
    assert names(entries) == fields
    if "__post_init__" in vars(kind) and REFUSES.search(inspect.getsource(kind.__post_init__)):
        assert "InputError" in names(told.get("Raises", []))
    if has_unit_rule(kind):
        assert without_unit(entries) == []


@pytest.mark.parametrize(("member", "owner"), PROPERTIES)
def test_a_numeric_property_names_its_unit(member, owner):
    told = inspect.signature(member.fget).return_annotation
    if told in (str, bool, "str", "bool"):
        return
    assert re.search(r"\[.+?\]", member.__doc__), member.__doc__


def test_the_contract_covers_the_library():
    assert len(FUNCTIONS) > 30
    assert len(DATACLASSES) > 15
    assert {"bandwork.stretch", "bandwork.rubber", "bandwork.handbook"} <= {
        module.__name__ for module in MODULES}
