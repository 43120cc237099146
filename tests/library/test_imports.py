"""Arrows point one way: handbook <- components <- the units <- launch <- setup <- classroom."""

import ast
from pathlib import Path

import pytest

LIBRARY = Path(__file__).resolve().parents[2] / "book" / "bandwork"
ORDER = ["validation", "interval writing", "handbook", "units", "water", "rubber", "components",
         "stretch trim flight line", "launch", "setup", "choice doubt", "classroom workshop",
         "cli"]
PACKAGES = ("classroom", "workshop")
RANK = {name: rank for rank, row in enumerate(ORDER) for name in row.split()}


def imports(path):
    """Names of the modules of bandwork that a file imports, wherever in the file it does."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom):
            assert not node.level, f"{path.name} imports relatively"
            parts = (node.module or "").split(".")
            if parts[0] == "bandwork" and len(parts) > 1:
                yield parts[1]
            elif parts == ["bandwork"]:
                yield from (one.name for one in node.names if one.name in RANK)
        elif isinstance(node, ast.Import):
            for one in node.names:
                parts = one.name.split(".")
                if parts[0] == "bandwork" and len(parts) > 1:
                    yield parts[1]


def rank_of(path):
    return RANK[path.relative_to(LIBRARY).with_suffix("").parts[0]]


FILES = [path for path in sorted(LIBRARY.rglob("*.py")) if path.name != "__init__.py"
         or path.parent != LIBRARY]


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(LIBRARY)))
def test_a_module_imports_only_what_stands_below_it(path):
    within = path.relative_to(LIBRARY).parts[0]
    for name in imports(path):
        assert RANK[name] < rank_of(path) or name == within in PACKAGES, (
            f"{path.relative_to(LIBRARY)} imports bandwork.{name}")


def test_the_physics_never_imports_the_classroom():
    physics = [path for path in FILES if rank_of(path) < RANK["classroom"]]
    assert len(physics) > 6
    assert not any("classroom" in set(imports(path)) for path in physics)


def test_the_order_is_read_from_files_that_exist():
    assert {"stretch", "rubber", "validation"} <= set(imports(LIBRARY / "stretch.py")) | {"stretch"}
    assert "classroom" in set(imports(LIBRARY / "cli.py"))
