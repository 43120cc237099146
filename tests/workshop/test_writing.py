"""A file is written as a whole or not at all, and never over another without --force."""

import os

import pytest
from bandwork import writing
from bandwork.validation import InputError
from bandwork.writing import write_new, write_whole


def test_text_and_bytes_are_written_whole(tmp_path):
    for content, held in (("å\n", "å\n".encode()), (b"\0\1", b"\0\1")):
        path = tmp_path / f"{len(held)}"
        write_new(path, content)
        assert path.read_bytes() == held
        assert path.stat().st_mode & 0o400
    assert len(list(tmp_path.iterdir())) == 2


def test_another_file_stays_unless_force_is_given(tmp_path):
    path = tmp_path / "gun.toml"
    path.write_text("old")
    with pytest.raises(InputError, match="--force"):
        write_new(path, "new")
    assert path.read_text() == "old"
    write_new(path, "new", force=True)
    assert path.read_text() == "new"
    assert [one.name for one in tmp_path.iterdir()] == ["gun.toml"]


def test_a_broken_link_counts_as_something_there(tmp_path):
    path = tmp_path / "gun.toml"
    path.symlink_to(tmp_path / "nowhere")
    with pytest.raises(InputError, match="--force"):
        write_new(path, "new")


def test_where_there_are_no_links_it_is_written_all_the_same(tmp_path, monkeypatch):
    def none(*_):
        raise PermissionError("no links here")

    monkeypatch.setattr(os, "link", none)
    write_new(tmp_path / "gun.toml", "new")
    assert (tmp_path / "gun.toml").read_text() == "new"
    with pytest.raises(InputError, match="--force"):
        write_new(tmp_path / "gun.toml", "newer")
    assert len(list(tmp_path.iterdir())) == 1


@pytest.mark.parametrize(("name", "says"), [
    ("missing/gun.toml", "a folder that is there"), (".", "is a folder"),
    ("x" * 300, "cannot be written"), ("a\0b", "cannot be written")])
def test_what_cannot_be_written_gets_one_sentence(tmp_path, name, says):
    with pytest.raises(InputError, match=says) as refusal:
        write_new(tmp_path / name, "new")
    assert str(refusal.value).count("\n") == 0
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("force", [False, True])
def test_a_failure_in_the_middle_leaves_nothing_behind(tmp_path, monkeypatch, force):
    path = tmp_path / "gun.toml"
    if force:
        path.write_text("old")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(writing.os, "chmod", full)
    with pytest.raises(InputError, match="No space left"):
        write_new(path, "new", force)
    with pytest.raises(OSError, match="No space left"):
        write_whole(path, "new")
    assert [one.name for one in tmp_path.iterdir()] == (["gun.toml"] if force else [])
    assert not force or path.read_text() == "old"
