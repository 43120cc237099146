import shutil
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def root():
    return ROOT


@pytest.fixture(scope="session")
def released(tmp_path_factory):
    """A course folder of its own, with the exercises made anew from solutions/."""
    from bandwork.classroom.notebooks import release

    course = tmp_path_factory.mktemp("course")
    shutil.copytree(ROOT / "solutions", course / "solutions")
    release(course, progress=lambda line: None)
    return course
