"""Commands start at once: what is heavy is imported when work needs it."""

import argparse
import subprocess
import sys

import pytest
from bandwork.workshop import commands
from bandwork.workshop.blank import template

HEAVY = ("scipy.stats", "scipy.optimize", "matplotlib", "openpyxl", "nbgrader", "IPython", "typst",
         "jsonschema", "sympy")


def names():
    """Return the bench's commands, as the command line has them."""
    top = argparse.ArgumentParser().add_subparsers()
    commands.add(top)
    return sorted(top.choices)


def imported(code, *arguments):
    """Return the heavy libraries that a fresh Python has after some code."""
    said = f"{code}\nprint(*[one for one in {HEAVY!r} if one in sys.modules], file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", f"import sys\n{said}", *arguments],
                          capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stderr.split()


@pytest.mark.parametrize("command", names())
def test_help_imports_nothing_heavy(command):
    assert imported("from bandwork.cli import main\ntry:\n    main([sys.argv[1], '--help'])\n"
                    "except SystemExit as stop:\n    assert stop.code == 0", command) == []


def test_reading_a_file_imports_nothing_heavy(tmp_path):
    path = tmp_path / "gun.toml"
    path.write_text(template(), encoding="utf-8")
    assert imported("from bandwork.workshop.files import read_gun\nread_gun(sys.argv[1])",
                    str(path)) == []
    assert "scipy.optimize" in imported("import scipy.optimize")


def test_a_refusal_comes_before_anything_heavy(tmp_path):
    path = tmp_path / "gun.toml"
    path.write_text(template().replace("[band]", "[bands]"), encoding="utf-8")
    assert set(imported("from bandwork.cli import main\nimport contextlib, io\n"
                        "with contextlib.redirect_stderr(io.StringIO()):\n"
                        "    assert main(['predict', sys.argv[1]]) == 1", str(path))) == set()
