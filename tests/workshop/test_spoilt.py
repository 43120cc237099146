"""Spoilt files end in a result or in one sentence, whichever command of the bench reads them."""

import pytest

from tests.workshop.spoilt import cases, fault, play, run


def test_what_is_right_is_worked_out(tmp_path):
    for number, case in enumerate({one.words: one for one in cases()}.values()):
        folder = tmp_path / str(number)
        folder.mkdir()
        for name, data in case.files.items():
            (folder / name).write_bytes(data)
        before = {one.name for one in folder.iterdir()}
        words = [str(folder / one) if one in case.files or one.startswith("new-") else one
                 for one in case.words]
        code, out, err = run(words)
        assert code == 0, (case.words, err)
        made = {one.name for one in folder.iterdir()} - before
        assert made == {one for one in case.words if one.startswith("new-")}
        assert "estimate" in out or made or "--json" in words or "--csv" in words


@pytest.mark.parametrize(("code", "err", "after"), [
    ("ValueError: x", "", set()), (1, "", set()), (1, "bandwork: One.\nTwo.\n", set()),
    (0, "Traceback (most recent call last)", set()), (1, "bandwork: No.\n", {"half"}),
    (1, "bandwork: \x1b[31mNo.\n", set()), ("hung", "", set())])
def test_a_fault_is_noticed(code, err, after):
    assert fault(1, "", "bandwork: No.\n", set(), set()) == ""
    assert fault(code, "", err, set(), after)


@pytest.mark.parametrize("seed", [
    0, *(pytest.param(one, marks=pytest.mark.long) for one in range(1, 5))])
def test_a_spoilt_file_ends_in_a_result_or_a_sentence(seed):
    codes = set()
    for number, case, how, code, wrong in play(cases(), 1000 if seed else 40, seed):
        assert not wrong, (seed, number, case.words, how.__name__, wrong)
        codes.add(code)
    assert codes == {"0", "1"}
