"""The command `bandwork`: help that can be followed, one sentence when something is wrong."""

import subprocess
import sys

import pytest
from bandwork.cli import main, parser
from traitlets.config import PyFileConfigLoader


def run(*arguments, cwd=None):
    return subprocess.run([sys.executable, "-m", "bandwork.cli", *arguments], cwd=cwd,
                          capture_output=True, text=True, check=False)


def test_help_names_every_command_in_words(capsys):
    with pytest.raises(SystemExit) as stop:
        main(["--help"])
    assert stop.value.code == 0
    told = capsys.readouterr().out
    for command in ("course", "book", "exercises", "demo", "release", "collect", "grade", "mark",
                    "feedback", "table", "key", "handbook", "numbers"):
        assert f"    {command}" in told
    assert "never permission" in " ".join(told.split())
    assert parser().prog == "bandwork"


def test_a_handbook_row_comes_with_its_source(capsys):
    assert main(["handbook", "rubber.density"]) == 0
    told = capsys.readouterr().out
    assert "950 kg/m3" in told
    assert "matweb_nr" in told


def test_the_whole_handbook_is_listed(capsys):
    from bandwork.handbook import entries

    assert main(["handbook"]) == 0
    assert len(capsys.readouterr().out.splitlines()) == len(list(entries()))


def test_numbers_of_a_learner_are_shown(capsys):
    assert main(["numbers", "stretch", "ada"]) == 0
    assert "my.bore_mm = 2" in capsys.readouterr().out


@pytest.mark.parametrize(("arguments", "says"), [
    (["handbook", "rubber.dens"], "nearest: rubber.density"),
    (["numbers", "stretch", "a b"], "without spaces"),
    (["numbers", "strech", "ada"], "There is no exercise"),
])
def test_a_refusal_is_one_sentence_and_no_traceback(arguments, says, capsys):
    assert main(arguments) == 1
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("bandwork: ")
    assert says in told.err
    assert told.err.count("\n") == 1


@pytest.mark.parametrize("command", ["book", "exercises", "demo", "course"])
def test_elsewhere_than_in_the_course_it_says_where_to_go(command, tmp_path):
    done = run(command, cwd=tmp_path)
    assert done.returncode == 1
    assert "change into the folder that holds" in done.stderr
    assert "Traceback" not in done.stderr


def test_marking_opens_nbgraders_pages_on_the_class_that_is_named(root, tmp_path, monkeypatch,
                                                                 capsys):
    monkeypatch.chdir(root)
    assert main(["mark", str(tmp_path)]) == 1
    assert "bandwork grade" in capsys.readouterr().err
    (tmp_path / "gradebook.db").touch()
    asked = {}
    monkeypatch.setattr("subprocess.run", lambda words, **how: asked.update(how, words=words))
    assert main(["mark", str(tmp_path)]) == 0
    assert "/formgrader/gradebook" in asked["words"][-1]
    told = PyFileConfigLoader("nbgrader_config.py", path=str(root))
    for folder in (tmp_path, root / ".course"):
        monkeypatch.setattr("os.environ", {**asked["env"]} if folder == tmp_path else {"PATH": ""})
        settings = told.load_config()
        assert settings.CourseDirectory.db_url.endswith((folder / "gradebook.db").as_posix())
        assert settings.CourseDirectory.root == str(root)


def test_help_needs_none_of_the_heavy_libraries():
    code = ("import sys, bandwork.cli as cli; cli.parser();"
            "heavy = {'scipy', 'matplotlib', 'nbgrader', 'sympy', 'jupytext'} & set(sys.modules);"
            "sys.exit(repr(heavy) if heavy else 0)")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
