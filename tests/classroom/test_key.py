"""The answer key: built from the solutions, right for its id, and never handed out."""

import html

import numpy as np
import pytest
from bandwork import InputError
from bandwork.classroom.checks import ChoiceItem, FunctionItem, PlotItem
from bandwork.classroom.items import UNITS, exercise
from bandwork.classroom.key import make_key, write_key
from bandwork.cli import main
from pypdf import PdfReader

pytestmark = pytest.mark.course


@pytest.mark.parametrize("unit", UNITS)
def test_the_key_has_every_item_with_its_right_answer(root, unit):
    asked, key = exercise(unit), make_key(root, unit, "Ada")
    my = asked.numbers("ada")
    assert [one.title for one in key.answers] == [item.title for item in asked.items]
    for one, item in zip(key.answers, asked.items, strict=True):
        assert one.code
        assert "SOLUTION" not in one.code
        assert one.slips == item.slips
        right = asked.right(item.key, my)
        if isinstance(item, PlotItem):
            assert one.picture.startswith("<?xml")
        elif isinstance(item, ChoiceItem):
            assert one.value == right
        elif not isinstance(item, FunctionItem) and type(right) in (int, float, np.float64):
            assert float(one.value.split()[0]) == pytest.approx(right, rel=item.tolerance)


@pytest.mark.parametrize("unit", [unit for unit in UNITS if unit != "warmup"])
def test_written_answers_come_with_a_scheme_and_samples_at_each_level(root, unit):
    written = make_key(root, unit, "ada").written
    assert len(written) == 1
    assert "3 points" in written[0].title
    for points in ("3 points", "2 points", "1 point"):
        assert f"Sample for {points} (invented)" in written[0].scheme
    assert len(written[0].asked) > 100


def test_the_page_and_the_sheet_say_the_same(root, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(root)
    assert main(["key", "ada", "stretch", "--folder", str(tmp_path)]) == 0
    page = (tmp_path / "key-stretch-ada.html").read_text(encoding="utf-8")
    sheet = " ".join(" ".join(one.extract_text() for one in PdfReader(
        tmp_path / "key-stretch-ada.pdf").pages).split())
    assert str(tmp_path / "key-stretch-ada.pdf") in capsys.readouterr().out
    assert "http" not in page.replace("http://www.w3.org", "").replace("http://purl.org", "")
    for one in make_key(root, "stretch", "ada").answers:
        for told in (one.title, one.value, *(slip.name for slip in one.slips)):
            assert html.escape(told, quote=True) in page or told in html.unescape(page)
            assert told in sheet, told
    assert "For instructors alone" in sheet
    for text in (html.unescape(page), sheet):
        assert "Cross-section of the tube (1 point)" in text
        assert "Energy that loading adds (3 points)" in text
        assert "1 points" not in text
    for task in make_key(root, "stretch", "ada").written:
        assert len(task.paragraphs) >= 6
        for told in task.paragraphs:
            assert f"<p>{html.escape(told)}</p>".replace("&#x27;", "&#39;").replace(
                "&quot;", "&#34;") in page


def test_a_key_is_not_written_among_what_learners_get(root):
    with pytest.raises(InputError, match="handed out"):
        write_key(root, "stretch", "ada", root / "exercises" / "stretch")
    with pytest.raises(InputError, match="without spaces"):
        make_key(root, "stretch", "a b")


def test_other_ids_have_other_answers(root):
    one, other = (make_key(root, "stretch", name) for name in ("ada", "bo"))
    assert [a.value for a in one.answers] != [a.value for a in other.answers]
